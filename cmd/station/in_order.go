package station

import (
	"os"
	"runtime"
	"runtime/debug"
	"sync"
)

// garbageBound is the memory, in bytes, that work on many workbooks may come to. Site
// choice: far above what is in use at once, and no burden on any computer.
const garbageBound = 128 << 20

// BoundGarbage lets work on workbooks, one after another, keep garbage until it comes to
// the bound: each is taken apart into megabytes that nobody needs a moment later, and one
// alone is done before there is anything to collect. Measured: a fifth less time. GOGC and
// GOMEMLIMIT go before it. Not for what is held whole: near the bound nothing but
// collecting would be done.
func BoundGarbage() {
	percent := 1000 // where the bound is not ours there may be none
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(garbageBound)
		percent = -1
	}
	LetGarbage(percent)
}

// LetGarbage lets garbage come to percent of what is in use before it is collected, for
// work that keeps little of much. GOGC goes before it.
func LetGarbage(percent int) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(percent)
	}
}

// InOrder does work on the items on every core, and hands each result to take in the order
// of the items, as soon as it and all before it are there. An error of take ends it, once
// the work that is going on is done.
//
// take runs in the calling goroutine only. At most a few items for each core are ahead of
// take, so that memory does not grow with their number.
func InOrder[T, R any](items []T, work func(T) R, take func(T, R) error) error {
	cores := runtime.GOMAXPROCS(0)
	var working sync.WaitGroup
	defer working.Wait()
	type job struct {
		item   T
		result chan R
	}
	todo, queue, stop := make(chan job), make(chan job, 4*cores), make(chan struct{})
	defer close(stop)
	go func() {
		defer close(todo)
		defer close(queue)
		for _, item := range items {
			j := job{item, make(chan R, 1)}
			select {
			case queue <- j:
			case <-stop:
				return
			}
			select {
			case todo <- j:
			case <-stop:
				return
			}
		}
	}()
	for range cores {
		working.Go(func() {
			for j := range todo {
				j.result <- work(j.item)
			}
		})
	}
	for j := range queue {
		if err := take(j.item, <-j.result); err != nil {
			return err
		}
	}
	return nil
}
