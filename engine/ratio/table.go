package ratio

import "math/big"

// A row is a Standard as the table has it. Its keys are the spellings by which it is found,
// in capitals with 0 for O and no blanks.
type row struct {
	ratio  Ratio
	name   string
	keys   []string
	source string
	status Status
}

func (r row) standard(f Field) Standard {
	return Standard{Ratio: r.ratio, Name: r.name, Field: f, Source: r.source, Status: r.status}
}

// The ratios of the table: 1:n, n:1, n millimetres to the foot, a/b inches to the foot.
func oneTo(n string) Ratio            { return Ratio{new(big.Rat).Inv(constant(n))} }
func toOne(n string) Ratio            { return Ratio{constant(n)} }
func mmToFoot(n string) Ratio         { return Ratio{new(big.Rat).Quo(constant(n), Foot.size())} }
func inToFoot(a, b int64) Ratio       { return Ratio{big.NewRat(a, 12*b)} }
func constant(n string) *big.Rat      { r, _ := new(big.Rat).SetString(n); return r }
func keys(spelled ...string) []string { return spelled }

// series makes rows of one source.
func series(source string, status Status, ratios ...string) []row {
	var out []row
	for _, n := range ratios {
		out = append(out, row{ratio: oneTo(n), source: source, status: status})
	}
	return out
}

// table is a field's rows.
func table(f Field) []row {
	switch f {
	case RailwayNEM:
		return nemRows()
	case RailwayNMRA:
		return nmraRows()
	case RailwayBritish:
		return britishRows()
	case RailwayOther:
		return []row{
			{oneTo("80"), "HO (Japan)", keys("H0"), "Japanese practice", SeenSecondHand},
			{oneTo("150"), "N (Japan)", keys("N"), "Japanese practice", Memory},
			{oneTo("450"), "T", keys("T"), "makers' practice", Memory},
		}
	case RailwayGarden:
		return gardenRows()
	case Ships:
		rows := series(kitPractice, SeenSecondHand, "96", "400", "600")
		rows = append(rows, row{oneTo("48"), "1/4 in to the foot", nil, "usual for Royal Navy plans and Navy Board models", SeenSecondHand})
		return append(rows, series(kitPractice, Memory, "192", "200", "350", "700", "1200")...)
	case Aircraft:
		return series(kitPractice, SeenSecondHand, "24", "32", "48", "72", "144", "200", "400", "500")
	case Armour:
		return append(series(kitPractice, SeenSecondHand, "35", "72"), series(kitPractice, Memory, "16", "48", "76")...)
	case Cars:
		return series(kitPractice, SeenSecondHand, "8", "12", "18", "20", "24", "25", "43", "64")
	case Plant:
		return series(kitPractice, SeenSecondHand, "50", "64", "87")
	case Wargame:
		return wargameRows()
	case DollsHouse:
		return series("doll's house makers' practice", SeenSecondHand, "6", "12", "16", "18", "24", "48", "144")
	case Figures:
		return series(kitPractice, Memory, "6", "9", "10", "16")
	case Space:
		return series("museum models of launchers", Seen, "10", "48", "96", "100")
	case Park:
		return series("miniature parks' practice", Memory, "25")
	case Architecture:
		return series("offices' habit, no standard", CommonPractice, "20", "50", "100", "200", "500")
	case Drawing:
		return drawingRows()
	case DrawingImperial:
		return imperialRows()
	}
	return nil
}

// kitPractice is what no standard governs.
const kitPractice = "what kits and collections are sold in, no standard"

// nemRows are the sizes of NEM 010 for normal gauge. Size S is 1:64: one table in print has
// 1:60, against the sheet and its gauge of 22.5 mm.
func nemRows() []row {
	var out []row
	for _, r := range []struct{ n, name, key string }{
		{"220", "Z", "Z"}, {"160", "N", "N"}, {"120", "TT", "TT"}, {"87", "H0", "H0"},
		{"64", "S", "S"}, {"45", "0", "0"}, {"32", "I", "1"}, {"22.5", "II", "2"},
		{"16", "III", "3"}, {"11", "V", "5"}, {"8", "VII", "7"}, {"5.5", "X", "10"},
	} {
		out = append(out, row{oneTo(r.n), r.name, keys(r.name, r.key), "NEM 010:2011", Seen})
	}
	return out
}

// nmraRows are the North American sizes. HO is 3.5 mm to the foot, exactly 1:87.0857...,
// which the standard rounds to 1:87.1.
func nmraRows() []row {
	const general = "NMRA S-1.2, second hand"
	return []row{
		{mmToFoot("3.5"), "HO", keys("H0", "3.5MM"), general, SeenSecondHand},
		{inToFoot(3, 16), "S", keys("S"), general, SeenSecondHand},
		{inToFoot(1, 4), "O", keys("0"), general, SeenSecondHand},
		{mmToFoot("4"), "OO", keys("00"), "NMRA S-3.2", Seen},
		{inToFoot(3, 8), "No. 1", keys("1", "I", "N0.1"), "NMRA S-3.2 for the gauge; ratio second hand", SeenSecondHand},
		{oneTo("160"), "N", keys("N"), general, SeenSecondHand},
		{oneTo("120"), "TT", keys("TT"), general, SeenSecondHand},
		{oneTo("220"), "Z", keys("Z"), general, SeenSecondHand},
	}
}

// britishRows are by millimetres to the foot. British N is 2.0625 mm, near 1:148.
func britishRows() []row {
	const societies = "societies' sheets"
	return []row{
		{mmToFoot("4"), "OO", keys("00", "4MM"), societies, SeenSecondHand},
		{mmToFoot("4"), "EM", keys("EM"), societies, SeenSecondHand},
		{mmToFoot("4"), "P4", keys("P4", "S4"), societies, SeenSecondHand},
		{mmToFoot("7"), "O", keys("0", "7MM"), "7 mm to the foot; NEM 010:2011 §3.4 names it", SeenSecondHand},
		{mmToFoot("7"), "ScaleSeven", keys("SCALESEVEN", "S7"), societies, SeenSecondHand},
		{mmToFoot("2"), "2 mm finescale", keys("2MM", "2MMFINESCALE"), "2 mm to the foot, the society's definition", Seen},
		{mmToFoot("2.0625"), "N (British)", keys("N"), "2 1/16 mm to the foot", SeenSecondHand},
		{mmToFoot("3"), "3 mm scale", keys("TT", "3MM"), "3 mm to the foot", Computed},
		{mmToFoot("2.54"), "TT:120", keys("TT:120", "TT120", "TT"), "1/10 in to the foot", SeenSecondHand},
		{mmToFoot("10"), "10 mm scale", keys("1", "I", "10MM"), "10 mm to the foot", SeenSecondHand},
	}
}

// gardenRows are the large and narrow-gauge sizes.
func gardenRows() []row {
	const guides = "guides to scales and gauges"
	return []row{
		{mmToFoot("16"), "16 mm scale", keys("16MM", "SM32"), "16 mm to the foot", SeenSecondHand},
		{mmToFoot("15"), "Fn3", keys("FN3", "15MM"), "15 mm to the foot", SeenSecondHand},
		{inToFoot(7, 8), "7/8 in scale", keys("7/8IN"), "7/8 in to the foot", SeenSecondHand},
		{oneTo("22.5"), "G", keys("G"), guides, SeenSecondHand},
		{oneTo("24"), "G", keys("G"), guides, SeenSecondHand},
		{oneTo("29"), "G", keys("G"), guides, SeenSecondHand},
		{oneTo("32"), "G", keys("G"), guides, SeenSecondHand},
	}
}

// wargameRows are the ratios that figures of a size are sold beside. A size is a height, not
// a ratio, so each has several.
func wargameRows() []row {
	const sold = "sold beside figures of that size"
	var out []row
	for _, r := range []struct {
		size, key string
		status    Status
		ratios    []string
	}{
		{"6 mm", "6MM", SeenSecondHand, []string{"285", "300"}},
		{"10 mm", "10MM", Memory, []string{"144", "160"}},
		{"15 mm", "15MM", SeenSecondHand, []string{"100", "120"}},
		{"20 mm", "20MM", Memory, []string{"72", "76", "87"}},
		{"25 mm", "25MM", Memory, []string{"64", "72"}},
		{"28 mm", "28MM", SeenSecondHand, []string{"56", "60", "64"}},
		{"32 mm", "32MM", Memory, []string{"48", "50", "54"}},
		{"54 mm", "54MM", Memory, []string{"30", "32"}},
		{"75 mm", "75MM", Memory, []string{"22", "24"}},
	} {
		for _, n := range r.ratios {
			out = append(out, row{oneTo(n), r.size, keys(r.key), sold, r.status})
		}
	}
	return out
}

// drawingRows are the scales of technical drawings.
func drawingRows() []row {
	const iso = "ISO 5455:1979"
	var out []row
	for _, n := range []string{"50", "20", "10", "5", "2"} {
		out = append(out, row{ratio: toOne(n), source: iso, status: Seen})
	}
	return append(out, series(iso, Seen, "1", "2", "5", "10", "20", "50", "100", "200", "500", "1000", "2000", "5000", "10000")...)
}

// imperialRows are inches to the foot.
func imperialRows() []row {
	var out []row
	for _, r := range []struct {
		a, b int64
		name string
	}{
		{3, 1, "3"}, {3, 2, "1 1/2"}, {1, 1, "1"}, {3, 4, "3/4"}, {1, 2, "1/2"}, {3, 8, "3/8"},
		{1, 4, "1/4"}, {3, 16, "3/16"}, {1, 8, "1/8"}, {3, 32, "3/32"}, {1, 16, "1/16"}, {1, 32, "1/32"},
	} {
		out = append(out, row{inToFoot(r.a, r.b), r.name + " in to the foot", nil, "architect's scale, second hand", SeenSecondHand})
	}
	return append(out, row{inToFoot(1, 6), "1/6 in to the foot", nil, "six feet to the inch, the Twelves scales", Seen})
}
