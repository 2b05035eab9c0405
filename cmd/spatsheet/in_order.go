package main

import (
	"os"
	"runtime"
	"runtime/debug"
)

// Bounds on the memory of long work, in bytes. Site choice: workbooks pass through one
// after another, a season is held whole.
const (
	passing   = 128 << 20
	heldWhole = 1 << 30
)

// boundGarbage lets long work keep more garbage before it is collected, up to a bound: a
// workbook is taken apart into hundreds of kilobytes that nobody needs a moment later.
// Measured: a fifth less time. GOGC and GOMEMLIMIT go before it.
func boundGarbage(memory int64) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(1000)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memory)
	}
}

// inOrder does work on the items on every core, and hands each result to take in the order
// of the items, as soon as it and all before it are there. An error of take ends it.
//
// take runs in the calling goroutine only. At most a few items for each core are ahead of
// take, so that memory does not grow with their number.
func inOrder[T, R any](items []T, work func(T) R, take func(T, R) error) error {
	cores := runtime.GOMAXPROCS(0)
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
		go func() {
			for j := range todo {
				j.result <- work(j.item)
			}
		}()
	}
	for j := range queue {
		if err := take(j.item, <-j.result); err != nil {
			return err
		}
	}
	return nil
}
