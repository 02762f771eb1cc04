// Package placement is the plan and its check: it reads what is planned, lays every bite on a heart, measures it
// against what lies near in three dimensions, judges it by named rules, and says what to do instead.
//
//	plan file ──Read──> Plan ──Lay──> Laid ──Check──> Report
//
// Read refuses a faulty file with every problem at its place. Lay resolves places against one atlas.Heart and finds
// what only the heart can tell is wrong. Check decides; nothing here draws.
package placement
