package heat

// A batch can be turned out when its core has cooled to TurnOutC and TurnOutX
// of it has reacted. Common practice, no source.
const (
	TurnOutC = 35.0
	TurnOutX = 0.90
)
