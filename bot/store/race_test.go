//go:build race

package store_test

// raceDetector makes everything many times slower.
const raceDetector = true
