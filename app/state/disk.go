package state

// A Disk is where models and kits are read and copies are saved. Its methods are called from
// workers.
type Disk interface{}
