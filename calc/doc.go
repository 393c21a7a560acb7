// Package calc holds no code. The formulas of the trade live below it, each
// with its units, range, errors and source; they import nothing of the program
// outside calc.
//
//	topic                              package    main source
//	quantities, dials, reading, print  units      photometry handbook §1.2
//	exposure, EV, lux                  exposure   ISO 2720:1974, photometry §1
//	bare flash, sync, recycling        flash      ISO 1230:2007, photometry §3
//	panels, patches, softness          area       configuration factors, photometry §4 to §7
//	planes of a face                   face       photometry §5, sky and configuration factors
//	ambient + flash, ratios, solver    balance    photometry §8, trade handbook §0 and §8
//	mired, gels, mixing                colour     photometry §9
//	depth of field, blur               lens       photometry §10
//	the sun's place and hours           sun        published almanac formulas, photometry §12
//	wind, tipping, ballast             stand      photometry §11, trade §6
//
// The handbooks are the project's own fact base: photometry (formulas and check
// values) and trade (practice). Figures that others published are in
// testdata/published, figures computed from formulas in testdata/derived; tests
// check the first, and the second by two methods. "go test ./calc/... -run
// Published -v" counts them by source.
package calc
