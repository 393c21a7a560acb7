package drill

// Printed is how drills write a number.
var Printed = printed
