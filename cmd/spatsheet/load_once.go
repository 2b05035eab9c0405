package main

import (
	"sync"

	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// loaded keeps protocols by their text: a season has few protocols and many batches, and
// a protocol does not change once it is loaded.
var loaded sync.Map

// loadOnce is protocols.Load for a text that may have been loaded before.
func loadOnce(name string, text []byte) (*protocols.Protocol, error) {
	if p, ok := loaded.Load(string(text)); ok {
		return p.(*protocols.Protocol), nil
	}
	p, err := protocols.Load(name, text)
	if err != nil {
		return nil, err
	}
	loaded.Store(string(text), p)
	return p, nil
}

// shipped keeps what library.Load gave, by the name asked for.
var shipped sync.Map

// shippedOnce is library.Load for a name that may have been asked for before.
func shippedOnce(ref string) (*protocols.Protocol, error) {
	if p, ok := shipped.Load(ref); ok {
		return p.(*protocols.Protocol), nil
	}
	p, err := library.Load(ref)
	if err != nil {
		return nil, err
	}
	shipped.Store(ref, p)
	return p, nil
}
