package library

import "testing"

func TestEveryShippedProtocolLoads(t *testing.T) {
	if len(Refs()) < 2 {
		t.Fatalf("only %v ship", Refs())
	}
	for _, ref := range Refs() {
		t.Run(ref, func(t *testing.T) {
			p, err := Load(ref)
			if err != nil {
				t.Fatal(err)
			}
			if p.Ref() != ref {
				t.Errorf("the file of %s says it is %s", ref, p.Ref())
			}
		})
	}
}
