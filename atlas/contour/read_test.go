package contour

import (
	"fmt"
	"strings"
	"testing"

	"fairlead/atlas/geom"
)

// rows is a small good file: eight points on a circle, three of them named.
func rows() []string {
	return []string{
		"x,y,z,landmark", "16,0,0,", "11,11,0,anteroseptal", "0,16,0,", "-11,11,0,", "-16,0,0,anteroposterior", "-11,-11,0,", "0,-16,0,posteroseptal", "11,-11,0,",
	}
}

func TestRead(t *testing.T) {
	text := "# invented\n" + strings.Join(rows(), "\n") + "\n1.5,-2,3e1,Atrium\n"
	p, problems := Read("f.csv", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if len(p.At) != 8 || p.At[1] != (geom.Vec{X: 11, Y: 11}) || p.Line[1] != 4 || p.Landmark != [3]int{1, 4, 6} || p.File != "f.csv" {
		t.Errorf("read as %+v", p)
	}
	if p.Atrium == nil || *p.Atrium != (geom.Vec{X: 1.5, Y: -2, Z: 30}) || p.AtriumLine != 11 {
		t.Errorf("the atrium point is %v in line %d", p.Atrium, p.AtriumLine)
	}
}

func TestReadSpellings(t *testing.T) {
	plain, _ := Read("f", []byte(strings.Join(rows(), "\n")))
	for name, text := range map[string]string{
		"line ends of two characters": strings.Join(rows(), "\r\n"),
		"mark of UTF-8":               "\ufeff" + strings.Join(rows(), "\n"),
		"capitals and spaces":         strings.Replace(strings.Join(rows(), "\n"), "x,y,z,landmark", "X, Y,Z , Landmark", 1),
		"quotation marks":             strings.Replace(strings.Join(rows(), "\n"), "16,0,0,", `"16","0",0,""`, 1),
	} {
		p, problems := Read("f", []byte(text))
		if len(problems) > 0 || fmt.Sprint(p) != fmt.Sprint(plain) {
			t.Errorf("%s: %+v %v", name, p, problems)
		}
	}
}

// TestReadRefuses harms one row of a good file at a time.
func TestReadRefuses(t *testing.T) {
	for _, c := range []struct {
		row        int
		text, want string
	}{
		{1, "16,0,null,", `f:2:6: z is "null"; expected a number in mm, such as 12.5`},
		{1, "16,nan,0,", `f:2:4: y is "nan"; expected a number in mm, such as 12.5`},
		{1, "-Inf,0,0,", `f:2:1: x is "-Inf"; expected a number in mm, such as 12.5`},
		{1, "1e7,0,0,", `f:2:1: x is "1e7"; expected a number in mm between -1000000 and 1000000`},
		{1, "1e999,0,0,", `f:2:1: x is "1e999"; expected a number in mm between -1000000 and 1000000`},
		{1, "0b1,0,0,", `f:2:1: x is "0b1"; expected a number in mm, such as 12.5`},
		{1, "1-2,0,0,", `f:2:1: x is "1-2"; expected a number in mm, such as 12.5`},
		{1, "é,0,é,", "f:2:1: x is \"é\"; expected a number in mm, such as 12.5\nf:2:5: z is \"é\"; expected a number in mm, such as 12.5"},
		{1, strings.Repeat("9", 50) + "x,0,0,", `f:2:1: x is "9999999999999999999999999999999999999999…"; expected a number in mm, such as 12.5`},
		{2, "11,11,0,", "f:1:1: no point is named anteroseptal; expected each of the three commissures on one point; write its name in the landmark column of the point nearest to it"},
		{1, "16,0,0,posteroseptal", "f:8:9: a second posteroseptal commissure; expected one point; the first is in line 2: take one of the names out"},
		{1, "16,0,0,apex", `f:2:8: unknown landmark "apex"; expected anteroseptal, anteroposterior, posteroseptal, atrium or nothing`},
		{1, "16,0,0,atrium", "f:9:1: the contour has 7 points; expected at least 8; take more points around the rim"},
		{2, "11,11,anteroseptal", "f:3:1: the row has 3 fields; expected 4, as in the header; end the row with a comma where the last field is empty"},
		{8, `11,-11,"0,`, "f:9:11: a quotation mark out of place; expected none, or one before and one after a field; take the quotation marks out: no field needs them"},
		{0, "x y z landmark", `f:1:1: the header is one field, "x y z landmark"; expected fields parted by commas; save the file with commas between fields and points in decimals`},
		{0, strings.Repeat("x,", 40), "f:1:1: the header has 41 columns; expected x, y, z and landmark; take the others out"},
	} {
		r := rows()
		r[c.row] = c.text
		p, problems := Read("f", []byte(strings.Join(r, "\n")))
		if got := problems.Error(); got != c.want || p.At != nil {
			t.Errorf("%q:\n%s\nwant\n%s", c.text, got, c.want)
		}
	}
}

func TestReadTooLarge(t *testing.T) {
	text := strings.Join(rows(), "\n") + "\n#"
	text += strings.Repeat(" ", MostBytes-len(text))
	if _, problems := Read("f", []byte(text)); len(problems) > 0 {
		t.Errorf("a file of just the largest size: %v", problems)
	}
	_, problems := Read("f", []byte(text+" "))
	if want := "f:1:1: the file has 1048577 bytes; expected at most 1048576; a contour has at most 500 points: leave out everything else"; problems.Error() != want {
		t.Errorf("%v\nwant\n%s", problems, want)
	}
}

// TestCounts reads files of the smallest and the largest number of points, and one more.
func TestCounts(t *testing.T) {
	for n, want := range map[int]string{
		8:   "",
		500: "",
		501: "f:502:1: the contour has 501 points, and this is one too many; expected at most 500; keep every 2nd point",
	} {
		text := strings.Join(rows(), "\n") + strings.Repeat("\n1,2,3,", n-8)
		if _, problems := Read("f", []byte(text)); problems.Error() != want {
			t.Errorf("%d points: %v", n, problems)
		}
	}
}

func TestOrdinal(t *testing.T) {
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 112: "112th", 123: "123rd"} {
		if got := ordinal(n); got != want {
			t.Errorf("%d: %s", n, got)
		}
	}
}

// TestReadStops reads a file with a fault in every row no further than need be.
func TestReadStops(t *testing.T) {
	for _, row := range []string{"1,two,3,", `1,"2"x,3,`, "1,2"} {
		_, problems := Read("f", []byte("x,y,z,landmark\n"+strings.Repeat(row+"\n", 1000)))
		if len(problems) != mostProblems+1 || problems[mostProblems].Position != problems[mostProblems-1].Position || problems[mostProblems-1].Line != mostProblems+1 {
			t.Errorf("%s: %d problems:\n%v", row, len(problems), problems)
		}
	}
}
