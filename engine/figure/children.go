package figure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"scantling/engine/ratio"
)

// children is the table's source.
const children = "CDC growth charts of the United States, 2000 (National Center for Health Statistics), stature for age, from a copy of the table: at whole years, the 50th percentile as the mean and the SD from the 5th and 95th"

// Ages that the table of children has, in years.
const (
	YoungestChild = 2
	OldestChild   = 18
)

// A Childhood is boys, girls, or as many of both.
type Childhood string

// The childhoods.
const (
	Boys      Childhood = "boy"
	Girls     Childhood = "girl"
	BoysGirls Childhood = "child"
)

// Child is the population of children of an age in whole years; false for an age that the table
// has not. Of children only the stature is known.
func Child(who Childhood, years int) (Population, bool) {
	ok := years >= YoungestChild && years <= OldestChild && (who == Boys || who == Girls || who == BoysGirls)
	return Population(fmt.Sprintf("%s-%d", who, years)), ok
}

// Child takes a population of children apart; false for any other.
func (p Population) Child() (who Childhood, years int, ok bool) {
	kind, age, found := strings.Cut(string(p), "-")
	years, err := strconv.Atoi(age)
	if !found || err != nil || strconv.Itoa(years) != age {
		return "", 0, false
	}
	_, ok = Child(Childhood(kind), years)
	return Childhood(kind), years, ok
}

// childStature is the table's row.
func childStature(who Childhood, years int) Value {
	// mm: 5th, 50th, 95th percentile of boys and of girls, from 2 years on.
	row := [OldestChild - YoungestChild + 1][6]float64{
		{807.3, 864.5, 922.0, 792.6, 849.8, 906.6},
		{888.9, 949.6, 1016.0, 875.3, 939.2, 1005.1},
		{953.3, 1022.2, 1092.2, 937.8, 1007.5, 1081.1}, // 4
		{1012.1, 1089.0, 1164.6, 1001.2, 1076.6, 1158.1},
		{1070.6, 1153.9, 1236.3, 1066.0, 1147.1, 1235.9},
		{1129.6, 1217.7, 1307.3, 1128.1, 1214.9, 1310.0},
		{1185.8, 1278.8, 1375.5, 1183.3, 1275.9, 1376.4}, // 8
		{1236.0, 1335.1, 1438.8, 1230.4, 1329.2, 1435.3},
		{1279.9, 1386.2, 1496.7, 1272.7, 1379.9, 1493.5},
		{1322.2, 1435.2, 1553.0, 1321.6, 1439.8, 1560.7},
		{1371.0, 1490.5, 1615.8, 1389.1, 1511.9, 1631.8}, // 12
		{1432.8, 1560.9, 1691.2, 1456.6, 1571.5, 1684.4},
		{1502.6, 1638.4, 1767.4, 1495.6, 1603.9, 1712.4},
		{1564.4, 1699.4, 1822.7, 1512.2, 1618.6, 1725.7},
		{1606.5, 1735.1, 1853.7, 1519.2, 1625.5, 1732.2}, // 16
		{1630.2, 1752.9, 1869.6, 1522.7, 1629.1, 1735.6},
		{1642.1, 1761.6, 1877.9, 1524.6, 1631.2, 1737.6},
	}[years-YoungestChild]
	of := func(from int) Value {
		return Value{row[from+1], (row[from+2] - row[from]) / (2 * normal95), children, ratio.SeenSecondHand}
	}
	switch who {
	case Boys:
		return of(0)
	case Girls:
		return of(3)
	}
	boys, girls := of(0), of(3)
	half := (boys.Mean - girls.Mean) / 2
	return Value{(boys.Mean + girls.Mean) / 2, math.Sqrt((boys.SD*boys.SD+girls.SD*girls.SD)/2 + half*half), children, ratio.Computed}
}
