package report

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

func htmlOf(t *testing.T, s *Score) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteHTML(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func sheetsOf(t *testing.T, s *Score) *Sheets {
	t.Helper()
	sheets, err := SheetsOf(s)
	if err != nil {
		t.Fatal(err)
	}
	return &sheets
}

// TestPagesForTheBrowser writes pages to look at into the folder that
// PEDALOGUE_PAGES names, for .ci/pages.
func TestPagesForTheBrowser(t *testing.T) {
	dir := os.Getenv("PEDALOGUE_PAGES")
	if dir == "" {
		t.Skip("PEDALOGUE_PAGES names no folder to write pages to")
	}
	sectioned := func(n, every int) *Score {
		s := long(n)
		for i := range s.Parts[0].Bars {
			if i%every != 0 {
				s.Parts[0].Bars[i].Section = ""
			} else if i > 0 {
				s.Parts[0].Bars[i].Section = "Tempo primo"
			}
		}
		return s
	}
	two := long(40)
	two.Parts = append(two.Parts, demo().Parts...)
	two.Parts[1].ID = "P2"
	duet := long(12)
	duet.Parts = append(duet.Parts, demo().Parts...)
	duet.Parts[1].ID = "P2"
	four := long(4)
	stand := func(s *Score, perQuarter int) *Score {
		s = withMusic(s, perQuarter)
		s.Sheet.Music = true
		return s
	}
	var batch Batch
	for _, p := range []struct {
		name  string
		score *Score
	}{
		{"demo", demo()}, {"four", four}, {"long400", long(400)}, {"long2000", long(2000)},
		{"two-harps", two}, {"music", withMusic(demo(), 2)}, {"duet", withMusic(duet, 4)}, {"dense2000", withMusic(long(2000), 2)}, {"hostile-music", hostileMusic()},
		{"stand", stand(sectioned(60, 5), 1)}, {"stand-wide", stand(long(30), 8)}, {"stand-heavy", stand(long(2000), 2)},
		{"hostile", hostile()}, {"unread", unread()},
		{"sections", sectioned(160, 4)}, {"short-sections", sectioned(97, 2)}, {"one-section", sectioned(130, 1000)},
	} {
		page := htmlOf(t, p.score)
		if err := os.WriteFile(filepath.Join(dir, p.name+".html"), []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d bytes", p.name, len(page))
		e := EntryOf(p.score, p.name+".html")
		e.Sheets = sheetsOf(t, p.score)
		batch = append(batch, e)
	}
	for name, r := range map[string]*Reading{"reading": readingOf(withMusic(long(40), 4)), "hostile-reading": hostileReading()} {
		if err := os.WriteFile(filepath.Join(dir, name+".html"), []byte(readingHTML(t, r)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, k := range map[string]*Keys{"keys": keysOf(6), "keys12": keysOf(12), "hostile-keys": hostileKeys()} {
		if err := os.WriteFile(filepath.Join(dir, name+".html"), []byte(keysHTML(t, k)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	batch.SortByTrouble()
	var b bytes.Buffer
	if err := WriteIndexHTML(&b, batch); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "index.html"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	b.Reset()
	if err := WriteSheetsHTML(&b, batch); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "sheets.html"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	b.Reset()
	if err := WriteBatchText(&b, batch, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	t.Logf("\n%s", &b)
}
