package stats_test

import (
	"fmt"

	"potbank/internal/stats"
)

// Ten runs of a plan, each giving the cost of a good piece.
func ExampleMeanInterval() {
	cost := []float64{11.8, 12.4, 12.1, 11.6, 12.9, 12.2, 12.0, 12.5, 11.9, 12.3}
	e := stats.MeanInterval(cost, 0.95)
	fmt.Printf("%.2f, between %.2f and %.2f\n", e.Value, e.Low, e.High)
	// Output: 12.17, between 11.90 and 12.44
}

// Twenty runs cannot carry a promise for 95 of 100 orders, and say so.
func ExampleQuantileInterval() {
	days := make([]float64, 20)
	for i := range days {
		days[i] = 80 + float64(i)
	}
	e, _ := stats.QuantileInterval(days, 0.95, 0.95)
	fmt.Println(e.HasInterval(), e.Warnings[0])
	// Output: false No range for the 95 % point: need >= 59 values at 95 % confidence, there are 20.
}

// A third of a year that starts with an empty plant.
func ExampleWeekCut() {
	pieces := []float64{90, 310, 420, 470, 500, 490, 505, 495, 510, 490, 500, 505, 495, 500, 490, 505, 500}
	weeks, warnings := stats.WeekCut(pieces)
	fmt.Println("drop", weeks, "weeks")
	fmt.Println(warnings[0])
	// Output:
	// drop 4 weeks
	// Only 17 weeks: the start-up is judged week by week. 50 weeks or more give a surer cut.
}
