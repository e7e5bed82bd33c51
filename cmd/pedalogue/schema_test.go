package main

import (
	"os"
	"strings"
	"testing"
)

func TestSchemaCommand(t *testing.T) {
	kept, err := os.ReadFile("../../testdata/report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if r := typed(t, "schema"); r.out != string(kept) {
		t.Error("testdata/report.schema.json is not what pedalogue schema prints")
	}
	for _, command := range []string{"mark", "look", "check", "keys", "gliss", "reduce", "part"} {
		typed(t, "schema", command).want(t, exitDone, `"$id": "urn:pedalogue:schema:`+command, "")
	}
	for line, want := range map[string]string{"markk": "did you mean mark?", "strip": "there are mark, look", "mark look": "one command at a time"} {
		typed(t, append([]string{"schema"}, strings.Fields(line)...)...).want(t, exitUsage, "", want)
	}
}
