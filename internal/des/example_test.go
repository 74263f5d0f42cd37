package des_test

import (
	"fmt"

	"potbank/internal/des"
)

// Three glazers share one booth.
func Example() {
	s := des.New()
	defer s.Close()
	booth := s.Places("booth", 1)
	for i := range 3 {
		s.Go(fmt.Sprint("glazer ", i+1), func(p *des.Process) {
			p.Take(booth, 1, 0)
			defer booth.Give(1)
			p.Pass(10 * des.Minute)
			fmt.Println(p.Now(), p.Name(), "is done")
		})
	}
	if err := s.Run(des.Hour); err != nil {
		fmt.Println(err)
	}
	// Output:
	// 0d 00:10:00 glazer 1 is done
	// 0d 00:20:00 glazer 2 is done
	// 0d 00:30:00 glazer 3 is done
}
