// Package engine is the house of the rooms that know shapes and numbers, and no file format,
// no widget and no word that a user reads. It holds nothing itself but the test that keeps
// what they import in order.
package engine
