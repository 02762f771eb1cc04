package placement

import (
	"os"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"fairlead/atlas/words"
)

// Every rule is called something in every language, and English has no name for a rule that is not there.
func TestRulesAreCalledInEveryLanguage(t *testing.T) {
	book := loadRules(t)
	for _, tag := range words.Tags() {
		language, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range book.Rules() {
			if called := language.Say(r.Called()); called == "" || strings.ContainsAny(called, "⟦|{") {
				t.Errorf("%s calls the rule %s %q", tag, r.ID, called)
			}
		}
	}
	if called := book.Rule("hold").Called().String(); called != "too shallow to hold" {
		t.Errorf("the rule is called %q", called)
	}
	data, err := os.ReadFile("../atlas/words/languages/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Messages struct{ Rule map[string]string }
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	for id := range file.Messages.Rule {
		if book.Rule(id).ID == "" {
			t.Errorf("no rule is called by rule.%s", id)
		}
	}
}
