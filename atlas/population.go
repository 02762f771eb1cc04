package atlas

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Population is hearts like one patient's: drawn from what is believed of it, reproducibly, each a whole heart.
type Population struct {
	k    *knowledge
	root *mat.Dense
	seed uint64
}

// Population sets up a population for a patient. The same patient and seed give the same hearts, whatever the order
// they are asked for in and however many cores there are.
func (c *Catalogue) Population(p Patient, seed uint64) (*Population, error) {
	k, err := c.know(p)
	if err != nil {
		return nil, err
	}
	if _, err := k.likeliest(); err != nil {
		return nil, err
	}
	root, err := k.belief.root()
	if err != nil {
		return nil, err
	}
	return &Population{k, root, seed}, nil
}

// drawsAHeart is how often a heart is drawn anew when what was drawn is impossible.
const drawsAHeart = 200

// Heart is the i-th heart of the population.
func (p *Population) Heart(i int) (*Heart, error) {
	chance := rand.New(rand.NewPCG(p.seed, uint64(i)))
	for range drawsAHeart {
		h, err := p.draw(chance)
		var impossible *GeometryError
		switch {
		case err == nil:
			return h, nil
		case !errors.As(err, &impossible):
			return nil, err
		}
	}
	return nil, fmt.Errorf("no possible heart in %d draws: the measured sizes leave hardly any", drawsAHeart)
}

func (p *Population) draw(chance *rand.Rand) (*Heart, error) {
	v := p.k.values()
	for i, value := range p.k.belief.draw(p.root, chance) {
		q := &v.list[i]
		if !q.exact {
			q.Here = value
		}
		if !(q.Here >= q.Least && q.Here <= q.Most) {
			return nil, &GeometryError{Names: []string{q.Name}, Text: fmt.Sprintf("%s of %s was drawn", q.Name, quantity(q.Here, q.Unit))}
		}
	}
	v.tieRim()
	h, err := p.k.build(v)
	if err != nil {
		return nil, err
	}
	h.settle(chance)
	return h, nil
}

// settle decides what a heart in general has only with a likelihood: by which way its bundle enters, and whether an
// extension is there at all.
func (h *Heart) settle(chance *rand.Rand) {
	entry := 100 * chance.Float64() // one throw for the ways that exclude each other
	kept := h.Structures[:0:0]
	for _, s := range h.Structures {
		there := true
		switch {
		case s.Excludes:
			there = entry >= 0 && entry < s.SharePercent
			entry -= s.SharePercent
		case s.SharePercent < 100:
			there = 100*chance.Float64() < s.SharePercent
		}
		if there {
			s.SharePercent, s.Excludes = 100, false
			kept = append(kept, s)
		}
	}
	h.Structures = kept
}

// Hearts draws the first n hearts on all cores.
func (p *Population) Hearts(n int) ([]*Heart, error) {
	hearts, failed := make([]*Heart, n), make([]error, n)
	var work sync.WaitGroup
	next := make(chan int)
	for range max(runtime.GOMAXPROCS(0), 1) {
		work.Go(func() {
			for i := range next {
				hearts[i], failed[i] = p.Heart(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	work.Wait()
	return hearts, errors.Join(failed...)
}
