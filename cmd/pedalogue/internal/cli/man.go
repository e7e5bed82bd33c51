package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"
)

// man writes the manual page of a command, or of the program, for troff with the
// man macros.
func (p *Program) man(w io.Writer, args []string) error {
	var b strings.Builder
	name := p.Name
	if len(args) > 0 {
		name += "-" + args[0]
	}
	fmt.Fprintf(&b, ".TH %s 1 \"\" %q\n.SH NAME\n", strings.ToUpper(roff(name)), roff(p.Name+" "+p.Version))
	if len(args) == 0 {
		fmt.Fprintf(&b, "%s \\- %s\n.SH COMMANDS\n", roff(name), roff(p.About))
		for _, c := range p.Commands {
			fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(c.Name), roff(c.Short))
		}
		fmt.Fprintf(&b, ".PP\nThe page of a command is written by\n.B %s man COMMAND\n", roff(p.Name))
	} else {
		c := p.command(args[0])
		fmt.Fprintf(&b, "%s \\- %s\n.SH DESCRIPTION\n.nf\n%s\n.fi\n", roff(name), roff(c.Short), roff(strings.TrimSpace(c.Help)))
		title := ""
		p.flagsOf(c).VisitAll(func(flag *pflag.Flag) {
			if flag.Hidden {
				return
			}
			if groupOf(flag) != title {
				title = groupOf(flag)
				fmt.Fprintf(&b, ".SH %s\n", strings.ToUpper(roff(title)))
			}
			name, text := described(flag)
			fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(strings.TrimSpace(name)), roff(text))
		})
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// roff writes text so that troff takes none of it for its own.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
