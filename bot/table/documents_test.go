//go:build documents

package table

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// office has LibreOffice open a file and save it as another kind, and gives that.
func office(t *testing.T, name string, file []byte, as string) []byte {
	t.Helper()
	folder := t.TempDir()
	from, to := filepath.Join(folder, name), filepath.Join(folder, "out")
	if err := os.WriteFile(from, file, 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("soffice", "--headless", "-env:UserInstallation=file://"+filepath.Join(folder, "profile"), "--convert-to", as, "--outdir", to, from).CombinedOutput()
	if err != nil {
		t.Fatalf("soffice: %v\n%s", err, said)
	}
	ending, _, _ := strings.Cut(as, ":")
	data, err := os.ReadFile(filepath.Join(to, strings.TrimSuffix(name, filepath.Ext(name))+"."+ending))
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	return data
}

// asShown is CSV with commas and UTF-8, each cell as it is seen (LibreOffice Help, "Filter Options for CSV").
const asShown = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false"

// awkward are rows that a spreadsheet would gladly make something else of.
func awkward() []Row {
	return []Row{
		{Line: 2, Cells: map[Column]string{Mark: "MAR-1", Family: "connector", Serial: "00123", Batch: "1e5", Made: "2024-02-29", FirstUse: "2024-03", Examined: "never", Interval: "6"}},
		{Line: 3, Cells: map[Column]string{Mark: "K-2", Family: "pulley", Maker: "=1+1", Model: "+45", Holder: "@isla", Place: "-x", Serial: "12345678901234567890", Bought: "1999-12-31", Examined: "2026-11-14"}},
		{Line: 4, Cells: map[Column]string{Mark: "サ-3", Family: "connector", Maker: "Ўзбек 🧗", Model: "a \"b\", c;\nd", Place: "'=2+2", Serial: "_x0041_", Made: "2020", Status: "in quarantine"}},
		{Line: 5, Cells: map[Column]string{Mark: "K-4", Family: "connector", Maker: `=HYPERLINK("http://x","y")`, Model: "TRUE", Serial: "1/2", Place: "#REF!"}},
	}
}

// TestOpenedByLibreOffice: each cell shows what was written, and nothing was worked out.
func TestOpenedByLibreOffice(t *testing.T) {
	var out bytes.Buffer
	if err := WriteWorkbook(&out, awkward()); err != nil {
		t.Fatal(err)
	}
	shown, err := csv.NewReader(bytes.NewReader(office(t, "register.xlsx", out.Bytes(), asShown))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{nil}
	for _, c := range Columns() {
		want[0] = append(want[0], string(c))
	}
	for _, row := range awkward() {
		var cells []string
		for _, c := range Columns() {
			text := row.Cells[c]
			if strings.HasPrefix(text, "'") {
				text = "'" + text // as CSV would be read
			}
			cells = append(cells, text)
		}
		want = append(want, cells)
	}
	if diff := cmp.Diff(want, shown); diff != "" {
		t.Error(diff)
	}
}

// TestOpenedAndSavedByLibreOffice: what it saves of our workbook reads the same as what we wrote.
func TestOpenedAndSavedByLibreOffice(t *testing.T) {
	var out bytes.Buffer
	if err := WriteWorkbook(&out, awkward()); err != nil {
		t.Fatal(err)
	}
	back, err := Read(office(t, "register.xlsx", out.Bytes(), "xlsx:Calc MS Excel 2007 XML"), "", Large())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(awkward(), back.Rows); diff != "" {
		t.Error(diff)
	}
}

// TestOpenedDaysOfLibreOffice: days that it made itself, of a list as people type it and of a workbook that counts from 1904.
func TestOpenedDaysOfLibreOffice(t *testing.T) {
	yes := true
	count := workbook(t, [][]any{{"Mark", "Family", "Made", "Serial"}, {"D-1", "pulley", 37986, "7"}}, styled(t, "C2", "dd/mm/yyyy"), func(f *excelize.File) {
		if err := f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}); err != nil {
			t.Fatal(err)
		}
	})
	for name, file := range map[string][]byte{
		"list.csv":  []byte("Mark,Family,Made,Serial\nD-1,pulley,2008-01-01,7\n"),
		"1904.xlsx": count,
	} {
		saved := office(t, name, file, "xlsx:Calc MS Excel 2007 XML")
		back, err := Read(saved, "", Large())
		if err != nil || len(back.Rows) != 1 || back.Rows[0].Cells[Made] != "2008-01-01" || back.Rows[0].Cells[Serial] != "7" {
			t.Errorf("%s: %+v, %v", name, back.Rows, err)
		}
		other, err := excelize.OpenReader(bytes.NewReader(saved), excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		if raw, err := other.GetCellValue(other.GetSheetName(0), "C2"); err != nil || raw != "39448" && raw != "37986" {
			t.Errorf("%s holds %q, which is no day, %v", name, raw, err)
		}
	}
}

// TestOpenedOnPaper: forty items are printed on one page of A4 (ISO 216: 210 by 297 mm), lying, with all columns.
func TestOpenedOnPaper(t *testing.T) {
	var rows []Row
	for n := range 10 {
		for _, r := range awkward() {
			r.Line += 4 * n
			rows = append(rows, r)
		}
	}
	var out bytes.Buffer
	if err := WriteWorkbook(&out, rows); err != nil {
		t.Fatal(err)
	}
	paper := office(t, "register.xlsx", out.Bytes(), "pdf")
	if pages := len(regexp.MustCompile(`/Type ?/Page\b[^s]`).FindAll(paper, -1)); pages != 1 {
		t.Fatalf("it takes %d pages", pages)
	}
	size := regexp.MustCompile(`/MediaBox ?\[ ?0 0 ([\d.]+) ([\d.]+) ?\]`).FindSubmatch(paper)
	for n, want := range []float64{297, 210} {
		if points, err := strconv.ParseFloat(string(size[n+1]), 64); err != nil || math.Abs(points*25.4/72-want) > 0.5 {
			t.Errorf("the page is %s by %s points", size[1], size[2])
		}
	}
}
