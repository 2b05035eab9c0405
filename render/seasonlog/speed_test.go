package seasonlog

import (
	"fmt"
	"os"
	"testing"
)

// BenchmarkCollect collects new workbooks, as many in a transaction as the name says.
func BenchmarkCollect(b *testing.B) {
	for _, together := range []int{1, 50} {
		b.Run(fmt.Sprintf("together=%d", together), func(b *testing.B) {
			log := newLog(b)
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				var list []Workbook
				for range together {
					list = append(list, sample(n, 0))
					n++
				}
				for _, c := range log.CollectAll(list) {
					if c.Err != nil || c.Outcome != Added {
						b.Fatalf("got %s, %v; want %s", c.Outcome, c.Err, Added)
					}
				}
			}
			reportReadings(b, n)
			reportSize(b, log, n)
		})
	}
}

// BenchmarkCollectKnown collects again what is in the log already.
func BenchmarkCollectKnown(b *testing.B) {
	log := newLog(b)
	const known = 50
	list := make([]Workbook, known)
	for n := range known {
		list[n] = sample(n, 0)
	}
	log.CollectAll(list)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if outcome, _, err := log.Collect(list[n%known]); err != nil || outcome != Unchanged {
			b.Fatalf("got %s, %v; want %s", outcome, err, Unchanged)
		}
		n++
	}
	reportReadings(b, n)
}

// BenchmarkReadings reads the readings of a batch back.
func BenchmarkReadings(b *testing.B) {
	log := newLog(b)
	const known = 50
	for n := range known {
		if _, _, err := log.Collect(sample(n, 0)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if _, err := log.Readings(sampleBatch(n%known), 1); err != nil {
			b.Fatal(err)
		}
		n++
	}
	reportReadings(b, n)
}

// BenchmarkStoredOf reads what was collected of many batches at once, as a season does.
func BenchmarkStoredOf(b *testing.B) {
	log := newLog(b)
	const known = 50
	var list []Workbook
	for n := range known {
		list = append(list, sample(n, 0))
	}
	log.CollectAll(list)
	revisions, err := log.Batches()
	if err != nil || len(revisions) != known {
		b.Fatalf("got %d revisions, %v; want %d", len(revisions), err, known)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if _, err := log.StoredOf(revisions); err != nil {
			b.Fatal(err)
		}
		n += known
	}
	reportReadings(b, n)
}

func sampleBatch(n int) string { return fmt.Sprintf("SK-26-%05d", n) }

func reportReadings(b *testing.B, workbooks int) {
	b.ReportMetric(float64(workbooks)*sampleReadings/b.Elapsed().Seconds(), "readings/s")
}

// reportSize tells the log's growth for a reading, workbook and texts apart.
func reportSize(b *testing.B, log *Log, workbooks int) {
	info, err := os.Stat(log.Path())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric((float64(info.Size())/float64(workbooks)-sampleBytes)/sampleReadings, "logbytes/reading")
}
