package main

import (
	"fairlead/atlas"
	"fairlead/placement"
)

func runSchema(s streams, _ options, _ []string) (int, error) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		return exitWrong, err
	}
	_, err = s.out.Write(placement.Schema(placement.WordsOf(catalogue)))
	return exitClear, err
}
