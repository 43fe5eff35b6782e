// Package commutation judges how a sensored three-phase motor behaves with
// each of the 36 ways to wire it to a six-step controller. It is pure: it does
// no input or output and knows nothing of recordings.
//
// Angles are electrical degrees that grow in the motor's forward direction,
// with zero where the fundamental of the first phase lead's back-EMF crosses
// zero rising. Leads are numbered from 0: p1 and h1 are at index 0.
package commutation
