package pedal

import "fmt"

var modeNames = [...]string{Needed: "needed", Written: "written", Balanced: "balanced", Free: "free"}

// String returns "needed", "written", "balanced" or "free".
func (m Mode) String() string {
	if int(m) >= len(modeNames) {
		return fmt.Sprintf("Mode(%d)", uint8(m))
	}
	return modeNames[m]
}

// ParseMode returns the mode of a name as String writes it.
func ParseMode(name string) (Mode, error) {
	for m, n := range modeNames {
		if n == name {
			return Mode(m), nil
		}
	}
	return Balanced, fmt.Errorf("%q is not a way to treat respelling: written, needed, balanced or free", name)
}

// Modes are the four modes in the order in which they respell more and more.
func Modes() [4]Mode { return [4]Mode{Written, Needed, Balanced, Free} }
