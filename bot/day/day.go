// Package day works out a day ahead: which date a message means, how the sun
// goes through it, what light that leaves on a face, how many batteries the
// frames take and what the forecast wind asks for. It computes; the words are the
// coach's and the playbook's. The time is passed in: nothing here reads a clock.
//
//	date.go    dates and times of day as people type them, time zones
//	course.go  the sun's course over one date at one place
//	slot.go    the stretches of a day that are planned one by one
//	light.go   what light falls on a face
//	supply.go  batteries; wind and ballast
package day
