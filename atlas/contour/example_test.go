package contour_test

import (
	"fmt"

	"fairlead/atlas/contour"
)

// A rim of eight points, invented: listed counter-clockwise, with x, y and z as some scanner gave them.
const scan = `# invented
x,y,z,landmark
116.0,40.0,-3.5,
112.7,50.6,-5.0,
104.0,55.0,-6.5,anteroposterior
95.3,50.6,-5.0,
88.0,40.0,-3.5,
91.3,29.4,-5.0,anteroseptal
104.0,25.0,-6.5,
114.7,29.4,-5.0,posteroseptal
`

func Example() {
	points, problems := contour.Read("scan.csv", []byte(scan))
	if len(problems) > 0 {
		fmt.Println(problems)
		return
	}
	rim, problems := contour.Fit(points)
	if len(problems) > 0 {
		fmt.Println(problems)
		return
	}
	fmt.Printf("rim %.1f mm, saddle %.1f mm\n", rim.LengthMM, rim.SaddleHeightMM)
	for k, name := range []string{"anterior", "posterior", "septal"} {
		fmt.Printf("%s %.1f mm\n", name, rim.SegmentsMM[k])
	}
	first := rim.Curve.At(0)
	fmt.Printf("the anteroseptal commissure is lower left: %t\n", first.X < 0 && first.Y < 0)
	// Output:
	// rim 92.9 mm, saddle 2.7 mm
	// anterior 34.8 mm
	// posterior 32.2 mm
	// septal 25.9 mm
	// the anteroseptal commissure is lower left: true
}

func ExampleRead() {
	_, problems := contour.Read("scan.csv", []byte("x,y,z,landmark\n1,2,three,anteroseptal\n"))
	for _, p := range problems {
		fmt.Println(p.Position, p.What)
	}
	// Output:
	// scan.csv:1:1 no point is named anteroposterior
	// scan.csv:1:1 no point is named posteroseptal
	// scan.csv:2:1 the contour has 1 point
	// scan.csv:2:5 z is "three"
}
