package randomworks_test

import (
	"fmt"
	"os"
	"regexp"
	"sort"
	"strconv"
	"testing"
	"time"

	"potbank/internal/plant/randomworks"
)

type catch struct{ msg string }

func (c *catch) Helper() {}
func (c *catch) Fatalf(f string, a ...any) {
	c.msg = fmt.Sprintf(f, a...)
	panic(c)
}

func TestScan(t *testing.T) {
	n, _ := strconv.Atoi(os.Getenv("SCAN"))
	first := map[string]string{}
	count := map[string]int{}
	num := regexp.MustCompile(`[0-9.]+`)
	from, _ := strconv.Atoi(os.Getenv("FROM"))
	slow := time.Duration(0)
	for i := from; i < from+n; i++ {
		func() {
			c := &catch{}
			defer func() {
				if r := recover(); r != nil {
					m := c.msg
					if m == "" {
						m = fmt.Sprint("PANIC ", r)
					}
					k := m
					if len(k) > 300 {
						k = k[:300]
					}
					for j, ch := range k {
						if ch == '\n' {
							k = k[:j]
							break
						}
					}
					k = num.ReplaceAllString(k, "#")
					count[k]++
					if _, ok := first[k]; !ok || len(m) < len(first[k]) {
						first[k] = fmt.Sprintf("seed %d: %s", i, m)
					}
				}
			}()
			s := time.Now()
			checkLaws(c, randomworks.Works().Example(i))
			if d := time.Since(s); d > slow {
				slow = d
				fmt.Println("slowest", i, d)
			}
		}()
	}
	var keys []string
	for k := range count {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(a, b int) bool { return count[keys[a]] > count[keys[b]] })
	for j, k := range keys {
		fmt.Println(count[k], k)
		os.WriteFile(fmt.Sprintf("/tmp/scan-%02d.txt", j), []byte(first[k]), 0o644)
	}
}
