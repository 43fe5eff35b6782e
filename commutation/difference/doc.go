// Package difference tells what differs between two recordings of a motor with the same
// leads: before and after a repair, or the same stator with another rotor.
//
// What two recordings do not determine is not claimed as unchanged. An angle needs
// something that it is measured from, and a repaired phase takes it along; see [Frame].
package difference
