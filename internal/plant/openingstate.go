package plant

// OpeningState is the pieces in the works at the start, by section: counts, or a
// table of pieces, or both.
type OpeningState struct {
	Finished map[string]int `key:"finished" optional:"yes" ref:"ware" doc:"on trolleys before the dryer"`
	Dried    map[string]int `key:"dried" optional:"yes" ref:"ware" doc:"before white inspection"`
	White    map[string]int `key:"passed" optional:"yes" ref:"ware" doc:"before glazing"`
	Glazed   map[string]int `key:"glazed" optional:"yes" ref:"ware" doc:"dry in the buffer before the kiln"`
	Fired    map[string]int `key:"fired" optional:"yes" ref:"ware" doc:"before sorting"`
	Patched  map[string]int `key:"patched" optional:"yes" ref:"ware" doc:"before the refire"`
	Sorted   map[string]int `key:"sorted" optional:"yes" ref:"ware" doc:"A pieces before the tests"`

	InMoulds map[string]int `key:"in-moulds" optional:"yes" ref:"ware" doc:"filled and not yet out of the mould"`
	Leather  map[string]int `key:"leather-hard" optional:"yes" ref:"ware" doc:"out of the mould, to be punched, or finished where nothing is punched"`
	Punched  map[string]int `key:"punched" optional:"yes" ref:"ware" doc:"punched, to be fettled"`
	Drying   map[string]int `key:"drying" optional:"yes" ref:"ware" doc:"in the dryers"`
	Coating  map[string]int `key:"coat-drying" optional:"yes" ref:"ware" doc:"glazed, the coat still drying"`
	Firing   map[string]int `key:"firing" optional:"yes" ref:"ware" doc:"in a kiln for the first time"`
	ToPatch  map[string]int `key:"to-patch" optional:"yes" ref:"ware" doc:"sorted for refire, before patching"`
	Refiring map[string]int `key:"refiring" optional:"yes" ref:"ware" doc:"in a kiln for the second time"`
	Refired  map[string]int `key:"refired" optional:"yes" ref:"ware" doc:"fired again, before sorting"`
	Tested   map[string]int `key:"tested" optional:"yes" ref:"ware" doc:"before packing"`

	Pieces string       `key:"pieces" optional:"yes" doc:"a table beside the scenario of further pieces: section (a key of this set), ware, and as needed count, filled-at, order"`
	Listed []OpenPieces `key:"-"` // what the reader found in Pieces
}

// OpenPieces is one row of the table of pieces.
type OpenPieces struct {
	Row     int // from 1, the head apart
	Section string
	Ware    string
	Count   int
	Filled  string // date and time; empty: not known
	Order   string // that they are for; empty: any that takes them
}

// openGroup is the pieces of one section.
type openGroup struct {
	key    string
	pieces map[string]int
}

// groups lists the sections in the order in which they are filled. New ones go
// to the end: the draws of a piece hang on its number.
func (s *OpeningState) groups() []openGroup {
	return []openGroup{
		{"finished", s.Finished}, {"dried", s.Dried}, {"passed", s.White}, {"glazed", s.Glazed}, {"fired", s.Fired},
		{"patched", s.Patched}, {"sorted", s.Sorted}, {"in-moulds", s.InMoulds}, {"leather-hard", s.Leather},
		{"punched", s.Punched}, {"drying", s.Drying}, {"coat-drying", s.Coating}, {"firing", s.Firing},
		{"to-patch", s.ToPatch}, {"refiring", s.Refiring}, {"tested", s.Tested}, {"refired", s.Refired},
	}
}

// Empty tells whether nothing is in the works at the start.
func (s *OpeningState) Empty() bool {
	for _, group := range s.groups() {
		if len(group.pieces) > 0 {
			return false
		}
	}
	return s.Pieces == "" && len(s.Listed) == 0
}

// count is the pieces of a ware in a section, the table included.
func (s *OpeningState) count(key, ware string) int {
	n := 0
	for _, g := range s.groups() {
		if g.key == key {
			n += g.pieces[ware]
		}
	}
	for _, l := range s.Listed {
		if l.Section == key && l.Ware == ware {
			n += l.Count
		}
	}
	return n
}
