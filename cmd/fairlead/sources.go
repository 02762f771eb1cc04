package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"fairlead/atlas"
)

func runSources(s streams, o options, _ []string) (int, error) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		return exitWrong, err
	}
	bibliography, err := catalogue.Bibliography()
	if err != nil {
		return exitWrong, err
	}
	if o.format == "json" {
		return exitClear, writeJSON(s.out, map[string]any{"sources": sourcesJSON(bibliography)})
	}
	var t strings.Builder
	for _, source := range bibliography {
		fmt.Fprintf(&t, "%s  (%s)\n    %s\n", source.ID, readInWords(source.Read), source.Cite)
		if source.DOI != "" {
			fmt.Fprintf(&t, "    doi %s\n", source.DOI)
		}
		fmt.Fprintf(&t, "    %s\n", source.About)
	}
	_, err = io.WriteString(s.out, t.String())
	return exitClear, err
}

func readInWords(read string) string {
	switch read {
	case "abstract":
		return "abstract read, not the full text"
	case "secondary":
		return "read as quoted by another text"
	case "memory":
		return "from memory, not confirmed"
	default:
		return "no publication"
	}
}

type sourceJSON struct {
	ID    string `json:"id"`
	Read  string `json:"read"`
	Cite  string `json:"cite"`
	DOI   string `json:"doi,omitempty"`
	About string `json:"about"`
}

func sourcesJSON(bibliography []atlas.Source) (sources []sourceJSON) {
	for _, s := range bibliography {
		sources = append(sources, sourceJSON(s))
	}
	return sources
}

func writeJSON(w io.Writer, v any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(v)
}
