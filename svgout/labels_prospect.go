package svgout

// prospect is what tolls and sights tell of a label before any is placed. It
// is true of every layout within the limit of a search.
type prospect struct {
	// low and high are the tops between which the label stands.
	low, high int64
	// above is the set of labels that stand above it.
	above uint64
}

// prospects are the prospects of all labels.
func (q *search) prospects() []prospect {
	all := make([]prospect, len(q.items))
	for i := range all {
		all[i].low, all[i].high = q.span(i)
	}
	for i := range all {
		for j := range all {
			if i != j && !q.mayStandOver(i, j, all) {
				all[i].above |= 1 << j
			}
		}
	}
	return all
}

// span is between which tops label i stands: where the cost of the stretch is
// not so far above that of the cheapest that the bound would rise to the limit.
func (q *search) span(i int) (low, high int64) {
	low, high = beyond, -beyond
	allowance := q.limit - q.tolls.bound
	for k, cost := range q.tolls.costs[i] {
		if cost-q.tolls.cheapest[i] < allowance {
			from := q.top + int64(k)*stretchLength
			low, high = min(low, from), max(high, from+stretchLength)
		}
	}
	return low, high
}

// mayStandOver says whether label i may stand above label j.
func (q *search) mayStandOver(i, j int, all []prospect) bool {
	lowest := min(all[i].high, q.sights[i][j].above-q.drop+q.leeway)
	highest := max(all[j].low, q.sights[j][i].below-q.drop-q.leeway)
	return all[i].low <= lowest && highest <= all[j].high && all[i].low+q.share(i) <= all[j].high
}
