package strictyaml_test

import (
	"fmt"

	"fairlead/atlas/strictyaml"
)

var stitch = strictyaml.Object{
	Fields: []strictyaml.Field{
		{Name: "depth", Required: true, Doc: "How deep the needle goes.", Shape: strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 15)}},
		{Name: "tissue", Required: true, Shape: strictyaml.Choice{Words: []string{"wall", "rim", "leaflet"}}},
	},
}

func ExampleParse() {
	stitched, problems := strictyaml.Parse("stitch.yaml", []byte("depth: 2 mm\ntissue: rim\n"), stitch)
	fmt.Println(stitched.Get("depth").Number(), stitched.Get("tissue").Text(), problems.Err())
	// Output: 2 rim <nil>
}

func ExampleParse_problems() {
	_, problems := strictyaml.Parse("stitch.yaml", []byte("depth: 0.2 cm\ntisue: rim\n"), stitch)
	fmt.Println(problems.Error())
	// Output:
	// stitch.yaml:1:1: the key tissue is missing; expected tissue with wall, rim or leaflet; add it
	// stitch.yaml:1:8: depth: "0.2 cm" has another unit; expected a number in mm, more than 0 mm and at most 15 mm; write 2 mm
	// stitch.yaml:2:1: unknown key "tisue"; expected one of depth or tissue; did you mean tissue?
}

func ExampleSchema() {
	fmt.Print(string(strictyaml.Schema(strictyaml.Choice{Words: []string{"wall", "rim"}}, "Tissue", "tissue.json")))
	// Output:
	// {
	//   "$schema": "https://json-schema.org/draft/2020-12/schema",
	//   "$id": "tissue.json",
	//   "title": "Tissue",
	//   "enum": [
	//     "wall",
	//     "rim"
	//   ]
	// }
}
