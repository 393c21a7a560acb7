package face_test

import (
	"fmt"

	"panelhand/calc/face"
)

// Photometry handbook §5.1: an upright plane under the CIE overcast sky gets
// 0.3961770778 of level ground. That plane is the meter held at the face.
func ExamplePlanes() {
	levels, err := face.Planes(face.Scene{Sources: []face.Source{face.Overcast(1)}})
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.10f\n", levels[face.Receptor])
	// Output: 0.3961770778
}

// Open shade under sky overhead, then a white panel at the waist: what it does
// to the eyes against the lit cheek. Both are computed; that the sockets were
// the darker by most of a stop is trade handbook R1.
func ExampleLevels_Against() {
	shade, err := face.Typical("open-shade", "overhead")
	if err != nil {
		panic(err)
	}
	panel := face.White(face.Place{Up: -50, Distance: 0.7}, 1.016)
	for _, scene := range []face.Scene{shade, shade.With(panel)} {
		levels, err := face.Planes(scene)
		if err != nil {
			panic(err)
		}
		stops, err := levels.Against(face.Socket, face.LitCheek)
		if err != nil {
			panic(err)
		}
		fmt.Printf("eye socket against lit cheek %.1f\n", float64(stops))
	}
	// Output:
	// eye socket against lit cheek -0.8
	// eye socket against lit cheek -0.3
}
