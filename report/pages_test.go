package report

import (
	"bytes"
	"fmt"
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

// TestPagesForTheBrowser writes pages to look at into the folder that
// PEDALOGUE_PAGES names, for .ci/pages.
func TestPagesForTheBrowser(t *testing.T) {
	dir := os.Getenv("PEDALOGUE_PAGES")
	if dir == "" {
		t.Skip("PEDALOGUE_PAGES names no folder to write pages to")
	}
	fullest := make(map[string]*Score)
	for n := 1; n < 200; n++ {
		for _, every := range []int{4, 1000} {
			s := long(n)
			for i := range s.Parts[0].Bars {
				if i%every != 0 {
					s.Parts[0].Bars[i].Section = ""
				} else if i > 0 {
					s.Parts[0].Bars[i].Section = "Tempo primo"
				}
			}
			if sheet := sheetOf(&s.Parts[0], s.Title, timelineOf(&s.Parts[0])); len(sheet.Cards[0].Rows) > 0 {
				fullest[fmt.Sprint(sheet.Size.Name, every)] = s
			}
		}
	}
	two := long(40)
	two.Parts = append(two.Parts, demo().Parts...)
	duet := long(12)
	duet.Parts = append(duet.Parts, demo().Parts...)
	four := long(4)
	var batch Batch
	for _, p := range []struct {
		name  string
		score *Score
	}{
		{"demo", demo()}, {"four", four}, {"long400", long(400)}, {"long2000", long(2000)},
		{"two-harps", two}, {"music", withMusic(demo(), 2)}, {"duet", withMusic(duet, 4)}, {"dense2000", withMusic(long(2000), 2)}, {"hostile-music", hostileMusic()},
		{"hostile", hostile()}, {"unread", unread()},
		{"large4", fullest["large4"]}, {"medium4", fullest["medium4"]}, {"small4", fullest["small4"]},
		{"large1000", fullest["large1000"]}, {"medium1000", fullest["medium1000"]}, {"small1000", fullest["small1000"]},
	} {
		page := htmlOf(t, p.score)
		if err := os.WriteFile(filepath.Join(dir, p.name+".html"), []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d bytes", p.name, len(page))
		batch = append(batch, EntryOf(p.score, p.name+".html"))
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
	if err := WriteBatchText(&b, batch, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	t.Logf("\n%s", &b)
}
