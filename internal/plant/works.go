package plant

import (
	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// Works is the description of a sanitaryware works as its scenario file sets
// it out: every department in the trade's words. It is plain data; New checks
// whether such a works is possible and makes it ready to run.
//
// The struct is also the definition of the file. Of each field's tags,
//
//	key      is the key in the file,
//	doc      its one-line explanation (the schema and `potbank keys` show it),
//	default  the text taken when the file is silent; its origin is reported,
//	optional marks what may be left out with no default at all,
//	ref      names the section whose entries the text must name,
//	unit     is the dimension of a random.Law's parameters,
//	oneof    lists the words allowed.
//
// A slice of structs that have a Name is written as a set of named entries.
// A PerWare value is written either once, for all wares, or as a set by ware.
type Works struct {
	Format   int    `key:"potbank" doc:"format of this file; this program reads 1"`
	Name     string `key:"name" doc:"name of the works, shown on every answer"`
	Start    string `key:"start" doc:"civil date and time at which the simulated weeks begin, such as 2027-01-04 06:00"`
	Zone     string `key:"time-zone" default:"UTC" doc:"IANA time zone; shifts keep local time through summer time"`
	Currency string `key:"currency" default:"EUR" doc:"three-letter code of every price in this file"`

	WorkingTime string `key:"working-time" optional:"yes" ref:"hours" doc:"hours counted as working time when work in process, lead time and orders are told in working days; left out, all hours"`

	Run      Run      `key:"run" doc:"how long and how often to simulate"`
	Closures Closures `key:"closures" optional:"yes" doc:"dates on which all shops are closed (not the hours that keep going)"`
	Hours    []Hours  `key:"hours" doc:"named working hours: shifts, breaks, rotations, exceptions"`
	Crews    []Crew   `key:"crews" doc:"named crews: heads by shift, wage, absence"`
	Ware     []Ware   `key:"ware" doc:"the wares made, with masses, yields and costs"`

	Shop      CastingShop  `key:"casting-shop" optional:"yes" doc:"air of the casting shop, covering of ware, floor space, trolleys"`
	MouldShop *MouldShop   `key:"mould-shop" optional:"yes" doc:"where working moulds are poured and dried; left out, worn moulds are replaced at the next opening of their bench"`
	Benches   []Bench      `key:"benches" optional:"yes" doc:"plaster casting benches and batteries, by name"`
	Presses   []Press      `key:"presses" optional:"yes" doc:"pressure casting machines with resin moulds, by name"`
	Finishing *Finishing   `key:"finishing" optional:"yes" doc:"punching in its window, sticking, fettling and sponging at leather-hard"`
	Dryers    []Dryer      `key:"dryers" optional:"yes" doc:"chamber dryers, tunnel dryers and drying floors, by name"`
	White     *Inspection  `key:"white-inspection" optional:"yes" doc:"inspection of the dry ware, the last exit back to the slip"`
	Glazing   *Glazing     `key:"glazing" optional:"yes" doc:"booths and robots, colour changes, drying of the coat"`
	Kilns     []Kiln       `key:"kilns" doc:"tunnel, shuttle and roller kilns, by name"`
	Sorting   *Sorting     `key:"sorting" optional:"yes" doc:"selection after each fire into A, B, refire and scrap"`
	Refire    *Refire      `key:"refire" optional:"yes" doc:"patching of pieces for another fire"`
	Tests     []Test       `key:"tests" optional:"yes" doc:"leak and function tests, by name"`
	Packing   *Packing     `key:"packing" optional:"yes" doc:"fitting, cartons, pallets; matched suites"`
	Orders    []Order      `key:"orders" optional:"yes" doc:"orders to be met from ware cast at or after their start, by name"`
	Fuel      Fuel         `key:"fuel" optional:"yes" doc:"gas and its price and carbon"`
	Opening   OpeningState `key:"opening-state" optional:"yes" doc:"pieces in the works at the start, by section and ware; left out, the works starts empty"`
}

// Run says how long and how often to simulate.
type Run struct {
	Length       des.Time       `key:"length" default:"52 wk" doc:"simulated length of one replication, warm-up included; whole weeks"`
	WarmUp       string         `key:"warm-up" default:"auto" doc:"auto (found by MSER on whole weeks) or whole weeks such as 8 wk"`
	Replications int            `key:"replications" default:"10" doc:"fewest replications"`
	Most         int            `key:"most-replications" default:"60" doc:"replications after which the run stops short of its precision"`
	Precision    quantity.Share `key:"precision" default:"1 %" doc:"half-width of the 95 % interval of the headline measures, relative to their value, at which the run stops"`
	Seed         int            `key:"seed" default:"1" doc:"seed of every draw"`
}

// Closures are dates on which every shop is closed, except hours that keep going.
type Closures struct {
	Dates    []string         `key:"dates" optional:"yes" doc:"dates and ranges: 2027-12-25, 2027-08-02..2027-08-15, 2027-W31"`
	Rules    []string         `key:"rules" optional:"yes" doc:"recurring closures as RFC 5545 rules, such as FREQ=YEARLY;BYMONTH=1;BYMONTHDAY=1"`
	Holidays string           `key:"holidays" optional:"yes" doc:"an .ics file beside the scenario"`
	Loaded   []calendar.Dates `key:"-"` // what the reader found in Holidays
}

// Hours are named working hours.
type Hours struct {
	Name      string   `key:"-"`
	Weeks     []string `key:"weeks" doc:"one weekly pattern, or several that rotate: Mon-Fri 06:00-10:00 10:30-14:00, Sat 06:00-12:00"`
	From      string   `key:"from" optional:"yes" doc:"date in the first week of the rotation; left out, the start"`
	Closed    []string `key:"closed" optional:"yes" doc:"dates and ranges on which these hours are closed"`
	Open      []string `key:"open" optional:"yes" doc:"extra dated hours: 2027-05-01 06:00-14:00"`
	KeepGoing bool     `key:"keep-going" default:"no" doc:"yes: not closed by the works' closures (kilns)"`
}

// Crew is a group of people with one skill, or of machines that work alone.
type Crew struct {
	Name      string                    `key:"-"`
	Roster    map[string]int            `key:"roster" ref:"hours" doc:"heads by working hours, such as {day: 10, late: 26}"`
	InHand    string                    `key:"in-hand" default:"half" oneof:"finish,pause,fits,half" doc:"work in hand at the end of a shift. finish: once begun it is finished; pause: it is taken up again at the next shift; fits: not begun unless it can be finished; half: begun if half of it fits, then finished"`
	Effective quantity.Share            `key:"effective" default:"100 %" doc:"share of attended time that is worked; times are divided by it"`
	Absence   quantity.Share            `key:"absence" default:"0 %" doc:"chance that a head is away for a whole day"`
	Wage      quantity.Wage             `key:"wage" default:"0 EUR/h" doc:"paid per rostered hour and head"`
	Premium   map[string]quantity.Share `key:"premium" optional:"yes" ref:"hours" doc:"premium on the wage by working hours, such as {night: 25 %}"`
}

// Ware is one product.
type Ware struct {
	Name        string          `key:"-"`
	Fired       quantity.Mass   `key:"fired-mass" doc:"mass of the fired piece"`
	Dry         quantity.Mass   `key:"dry-mass" doc:"mass of the bone-dry piece"`
	Wet         quantity.Mass   `key:"wet-mass" doc:"mass of the piece at demoulding"`
	Slip        quantity.Mass   `key:"slip-fill" optional:"yes" doc:"slip poured for one piece"`
	SlipReturn  quantity.Share  `key:"slip-return" default:"0 %" doc:"share of the fill that drains back"`
	Colour      string          `key:"colour" default:"white" doc:"glaze colour; a booth that changes it loses time"`
	Body        string          `key:"body" default:"vitreous china" doc:"body; kilns may refuse to mix bodies"`
	Plan        quantity.PerDay `key:"plan" optional:"yes" doc:"casts planned per working day, cumulative: a shortfall is made up when moulds allow; left out, all that the moulds allow"`
	Make        string          `key:"make" default:"stock" oneof:"stock,order" doc:"stock: casts follow the plan; order: only what open orders still need is cast, allowing for the expected yield"`
	PerTrolley  int             `key:"per-trolley" default:"1" doc:"pieces on one ware trolley"`
	Demould     random.Law      `key:"demould-moisture" unit:"moisture" default:"22 %" doc:"moisture of the piece at demoulding, dry basis"`
	Window      *Window         `key:"window" optional:"yes" doc:"the punching window"`
	Yields      Yields          `key:"yields" optional:"yes" doc:"what goes right at each stage"`
	Costs       StageCosts      `key:"costs" optional:"yes" doc:"direct cost added by each stage, in money per piece"`
	Price       quantity.Money  `key:"price" default:"0 EUR" doc:"selling price of an A piece, works gate"`
	SecondPrice quantity.Money  `key:"price-b" default:"0 EUR" doc:"selling price of a B piece"`
}

// Window is the interval of moisture, or of time after demoulding, in which a
// piece can be punched without harm. Moisture is the cause; the fixed form is
// for a works that knows only its clock.
type Window struct {
	Opens   quantity.Moisture `key:"opens" optional:"yes" doc:"moisture at which the piece is stiff enough"`
	Closes  quantity.Moisture `key:"closes" optional:"yes" doc:"moisture below which it is too dry"`
	Refuse  quantity.Moisture `key:"refuse-below" default:"12 %" doc:"moisture below which it is not punched at all"`
	After   des.Time          `key:"after" optional:"yes" doc:"fixed form: time from demoulding to the opening"`
	Until   des.Time          `key:"until" optional:"yes" doc:"fixed form: time from demoulding to the closing"`
	Early   Curve             `key:"early-loss" optional:"yes" doc:"extra fault rate by moisture above the opening, such as {19 %: 0 %, 20 %: 4 %}"`
	Late    Curve             `key:"late-loss" optional:"yes" doc:"extra fault rate by moisture below the closing, such as {15.5 %: 0 %, 13 %: 15 %}"`
	LateBy  TimeCurve         `key:"late-loss-after" optional:"yes" doc:"fixed form: extra fault rate by time after the closing"`
	Eager   bool              `key:"punch-early" default:"no" doc:"yes: a hand with nothing else to do punches before the opening, at the early-loss rate"`
	TooDry  string            `key:"too-dry" default:"scrap" oneof:"scrap,punch" doc:"what happens below refuse-below: back to the slip, or punched at the risk of the late-loss curve"`
	InDryer bool              `key:"stiffen-in-dryer" default:"no" doc:"yes: ware goes to a dryer until leather-hard, is punched, and returns to it"`
}

// Curve is a fault rate that grows along moisture, linear between points.
type Curve []CurvePoint

// CurvePoint is one point of a Curve.
type CurvePoint struct {
	At   quantity.Moisture
	Loss quantity.Share
}

// TimeCurve is a fault rate that grows with time, linear between points.
type TimeCurve []TimeCurvePoint

// TimeCurvePoint is one point of a TimeCurve.
type TimeCurvePoint struct {
	At   des.Time
	Loss quantity.Share
}

// Yields says what goes right at each stage of one ware. Shares are of the
// pieces that enter the stage.
type Yields struct {
	Casting    quantity.Share            `key:"casting" default:"95 %" doc:"accepted to the dryer, of all casts"`
	White      quantity.Share            `key:"white" default:"93 %" doc:"without fault at white inspection"`
	Glaze      quantity.Share            `key:"glaze" default:"99 %" doc:"glazed without knock or wash-off"`
	FirstFire  Grades                    `key:"first-fire" doc:"grades after the first fire"`
	LaterFire  Grades                    `key:"refire" optional:"yes" doc:"grades after a refire"`
	Test       quantity.Share            `key:"test" default:"100 %" doc:"pieces that pass the tests"`
	Breakage   quantity.Share            `key:"breakage" default:"0 %" doc:"broken in packing and store"`
	CarLuck    quantity.Share            `key:"car-correlation" default:"0 %" doc:"correlation of fired scrap among the pieces of one car or load"`
	DayLuck    quantity.Share            `key:"day-correlation" default:"0 %" doc:"correlation of white faults among the pieces inspected on one day"`
	FiredFault map[string]quantity.Share `key:"fired-faults" optional:"yes" doc:"scrap after firing by fault, shares adding up to 100 %"`
	WhiteFault map[string]quantity.Share `key:"white-faults" optional:"yes" doc:"white rejects by fault, shares adding up to 100 %"`
}

// Grades are the shares of one fire; the rest is scrap.
type Grades struct {
	A      quantity.Share `key:"a" default:"82 %" doc:"first quality"`
	B      quantity.Share `key:"b" default:"0 %" doc:"seconds"`
	Refire quantity.Share `key:"refire" default:"0 %" doc:"to be fired again"`
}

// StageCosts is the direct cost that each stage adds to one piece. What has a
// line of its own (wages, moulds, gas) must be left out here.
type StageCosts struct {
	Casting   quantity.Money     `key:"casting" default:"0 EUR" doc:"slip, plaster, labour of casting"`
	Finishing quantity.Money     `key:"finishing" default:"0 EUR" doc:"added by finishing"`
	Drying    quantity.Money     `key:"drying" default:"0 EUR" doc:"added by drying"`
	White     quantity.Money     `key:"white" default:"0 EUR" doc:"added by white inspection"`
	Glazing   quantity.Money     `key:"glazing" default:"0 EUR" doc:"added by glazing, glaze included"`
	Firing    quantity.Money     `key:"firing" default:"0 EUR" doc:"added by the first fire: placing, furniture"`
	Refire    quantity.Money     `key:"refire" default:"0 EUR" doc:"added by patching and one refire"`
	Sorting   quantity.Money     `key:"sorting" default:"0 EUR" doc:"added by sorting and test"`
	Packing   quantity.Money     `key:"packing" default:"0 EUR" doc:"added by packing: fittings, carton"`
	Reclaim   quantity.Money     `key:"reclaim-credit" default:"0 EUR" doc:"value of an unfired piece returned to the slip"`
	Disposal  quantity.MassPrice `key:"fired-disposal" default:"0 EUR/t" doc:"price of getting rid of fired scrap"`
}

// CastingShop is the air, the floor and the trolleys of the casting shop.
type CastingShop struct {
	Temperature quantity.Temperature `key:"temperature" default:"30 degC" doc:"air temperature"`
	Humidity    quantity.Share       `key:"humidity" default:"60 %" doc:"relative humidity"`
	Rate        quantity.DryingRate  `key:"drying-rate" default:"1 %/h" doc:"drying of ware on the floor at 30 degC and 60 % relative humidity, points of moisture per hour; scaled by the vapour-pressure deficit"`
	Covered     string               `key:"covered" optional:"yes" ref:"hours" doc:"hours during which unfinished ware is covered"`
	CoverFactor quantity.Share       `key:"cover-factor" default:"15 %" doc:"drying of covered ware, as a share of the open rate"`
	Floor       int                  `key:"floor" optional:"yes" doc:"pieces that can stand between mould and trolley; left out, no limit"`
	Trolleys    int                  `key:"trolleys" optional:"yes" doc:"ware trolleys in the works; left out, no limit"`
}

// MouldShop pours working moulds from cases and dries them.
type MouldShop struct {
	Hours     string         `key:"hours" ref:"hours" doc:"working hours; moulds are poured and issued when they open"`
	PerDay    int            `key:"per-day" doc:"moulds poured on a working day, all wares together"`
	Pour      des.Time       `key:"pour" default:"1 d" doc:"from the start of the pour to the mould dryer"`
	Dry       des.Time       `key:"dry" default:"3 d" doc:"stay in the mould dryer"`
	Moulds    []MouldSupply  `key:"moulds" doc:"supply of working moulds, by ware"`
	CasePrice quantity.Money `key:"case-price" default:"0 EUR" doc:"price of one case set"`
}

// MouldSupply is the chain behind the working moulds of one ware.
type MouldSupply struct {
	Name       string         `key:"-" ref:"ware"`
	Target     int            `key:"order-up-to" doc:"moulds kept in stock and in work"`
	Price      quantity.Money `key:"price" default:"0 EUR" doc:"cost of one working mould"`
	Cases      int            `key:"cases" default:"2" doc:"case sets in use"`
	CasePours  int            `key:"case-pours" default:"500" doc:"pours in the life of a case"`
	PoursDay   int            `key:"pours-per-case-day" default:"5" doc:"pours from one case in a day"`
	CaseLead   des.Time       `key:"case-lead" default:"5 d" doc:"making of a case set from the block"`
	SpareCases int            `key:"spare-cases" default:"0" doc:"case sets kept ready"`
	BlockSets  int            `key:"block-sets" default:"10" doc:"case sets in the life of a block mould"`
	BlockLead  des.Time       `key:"block-lead" default:"3 d" doc:"making of a block mould from the model"`
}

// Bench is a group of like casting benches, or of batteries: moulds that are
// filled, built, drained, set and opened together.
type Bench struct {
	Name    string             `key:"-"`
	Count   int                `key:"benches" default:"1" doc:"benches of this kind"`
	Moulds  int                `key:"moulds" doc:"mould places on one bench"`
	Ware    string             `key:"ware" ref:"ware" doc:"ware cast"`
	Crew    string             `key:"crew" ref:"crew" doc:"casters"`
	Casters int                `key:"casters" default:"1" doc:"casters at one bench"`
	Fill    des.Time           `key:"fill" doc:"filling of the whole bench"`
	Wall    quantity.Length    `key:"wall" optional:"yes" doc:"wall to be built from one face"`
	Rate    quantity.BuildRate `key:"build-rate" default:"1 mm2/min" doc:"k in wall^2 = k x time, dry mould"`
	Build   des.Time           `key:"build" optional:"yes" doc:"time to build the wall; left out, wall^2 / build-rate"`
	Damp    quantity.Share     `key:"damp-rate" default:"100 %" doc:"build rate of a mould that has had less than dry-through since its last cast"`
	Old     quantity.Share     `key:"old-rate" default:"100 %" doc:"build rate of a mould in the last fifth of its life"`
	Drain   des.Time           `key:"drain" doc:"draining of the bench"`
	Set     des.Time           `key:"set" doc:"hardening in the mould"`
	Open    des.Time           `key:"demould" doc:"person-time to demould one piece"`
	Clean   des.Time           `key:"clean" default:"0 min" doc:"cleaning and closing of the bench after demoulding"`
	DryBack des.Time           `key:"dry-back" default:"10 h" doc:"drying of the moulds before they can be filled again"`
	DryThru des.Time           `key:"dry-through" optional:"yes" doc:"drying after which a mould builds at its full rate; left out, dry-back"`
	Life    random.Law         `key:"mould-life" unit:"casts" doc:"casts in the life of a working mould"`
	Idle    quantity.Share     `key:"places-idle" default:"0 %" doc:"mould places out of use on any day, besides worn moulds"`
	Ages    string             `key:"mould-ages" default:"even" oneof:"even,new" doc:"ages at the start: spread evenly over the life, or all new"`
	Change  []Changeover       `key:"change-over" optional:"yes" doc:"dated changes to another ware, by date"`
}

// Changeover turns a bench group to another ware on a date.
type Changeover struct {
	Name  string   `key:"-"` // the date
	Ware  string   `key:"ware" ref:"ware" doc:"ware cast from then on"`
	Takes des.Time `key:"takes" default:"8 h" doc:"working time to change the moulds of one bench"`
}

// Press is a group of like pressure casting machines.
type Press struct {
	Name       string         `key:"-"`
	Count      int            `key:"machines" default:"1" doc:"machines of this kind"`
	Cavities   int            `key:"cavities" doc:"pieces in one cycle"`
	Ware       string         `key:"ware" ref:"ware" doc:"ware cast"`
	Hours      string         `key:"hours" ref:"hours" doc:"hours during which cycles are begun"`
	Crew       string         `key:"crew" optional:"yes" ref:"crew" doc:"operators, for their wage"`
	Cycle      random.Law     `key:"cycle" unit:"time" doc:"from one opening to the next"`
	Effective  quantity.Share `key:"effective" default:"100 %" doc:"share of the hours that is worked; the cycle is divided by it"`
	Life       random.Law     `key:"mould-life" unit:"casts" default:"20000" doc:"casts in the life of a resin mould"`
	Change     des.Time       `key:"mould-change" default:"4 h" doc:"change of a worn resin mould"`
	MouldPrice quantity.Money `key:"mould-price" default:"0 EUR" doc:"price of the resin mould of one cavity"`
	Breakdowns *Breakdowns    `key:"breakdowns" optional:"yes" doc:"failures and repairs"`
}

// Breakdowns are the failures of one machine.
type Breakdowns struct {
	Between random.Law `key:"between" unit:"time" doc:"time between the end of a repair and the next failure"`
	Repair  random.Law `key:"repair" unit:"time" doc:"time to repair"`
	Clock   string     `key:"clock" default:"working" oneof:"working,calendar" doc:"whether failures count working time or calendar time"`
}

// Finishing is punching, sticking, fettling and sponging.
type Finishing struct {
	Crew    string              `key:"crew" ref:"crew" doc:"finishers"`
	Punch   PerWare[random.Law] `key:"punch" optional:"yes" unit:"time" doc:"punching and sticking inside the window, by ware; a ware without it has one job"`
	Places  int                 `key:"punching-places" optional:"yes" doc:"people or machines that can punch at once; left out, no limit"`
	Finish  PerWare[random.Law] `key:"finish" unit:"time" doc:"fettling and sponging, by ware"`
	Tools   []Tool              `key:"tools" optional:"yes" doc:"tool sets, by ware"`
	Change  des.Time            `key:"tool-change" default:"0 min" doc:"change from the tools of one ware to those of another"`
	Reclaim bool                `key:"reclaim" default:"yes" doc:"whether clay scrap returns to the slip"`
}

// Tool is the punch set of one ware. A worn punch makes undersized holes,
// which nobody sees before the function test.
type Tool struct {
	Name  string         `key:"-" ref:"ware"`
	Holes int            `key:"holes" doc:"holes punched in one piece"`
	Life  int            `key:"life" doc:"holes punched before the set is changed"`
	Fault quantity.Share `key:"worn-fault" doc:"share of functional faults from a set at the end of its life; grows in proportion to holes punched"`
	Takes des.Time       `key:"takes" default:"15 min" doc:"change of a worn set"`
}

// Dryer is a group of chamber dryers, a tunnel dryer or a drying floor.
type Dryer struct {
	Name     string              `key:"-"`
	Kind     string              `key:"kind" oneof:"chamber,tunnel,floor" doc:"chamber: loaded in batches; tunnel and floor: each trolley stays its own time"`
	Count    int                 `key:"chambers" default:"1" doc:"chambers"`
	Trolleys int                 `key:"trolleys" doc:"trolley places of one chamber, or of the tunnel or floor"`
	Ware     []string            `key:"ware" optional:"yes" ref:"ware" doc:"wares dried here; left out, all"`
	Cycle    random.Law          `key:"cycle" unit:"time" doc:"from loading to unloading"`
	Load     string              `key:"load" default:"full" oneof:"full,clock" doc:"chamber: loaded when full (or after latest), or by the clock"`
	At       string              `key:"at" optional:"yes" ref:"hours" doc:"clock: chambers are loaded when these hours open"`
	Latest   des.Time            `key:"latest" optional:"yes" doc:"full: a part load starts when its first trolley has waited this long"`
	Hours    string              `key:"hours" optional:"yes" ref:"hours" doc:"hours during which the dryer may be loaded; left out, always"`
	Rate     quantity.DryingRate `key:"stiffening-rate" default:"3 %/h" doc:"drying rate of ware sent in to stiffen"`
	Residual quantity.Moisture   `key:"residual-moisture" default:"0.5 %" doc:"moisture at the end; above 1 % a fast kiln may crack the ware"`
	Cracks   quantity.Share      `key:"cracks" default:"0 %" doc:"pieces cracked in drying, besides the ware's white yield"`
	Energy   quantity.Energy     `key:"energy-per-piece" default:"0 MJ" doc:"fuel per piece dried"`
	Hot      quantity.Power      `key:"energy-base" default:"0 GJ/h" doc:"fuel per hour, loaded or not"`
}

// Inspection is white inspection.
type Inspection struct {
	Crew       string              `key:"crew" ref:"crew" doc:"inspectors"`
	Time       PerWare[random.Law] `key:"time" unit:"time" doc:"time for one piece"`
	Finds      quantity.Share      `key:"finds" default:"100 %" doc:"share of the faulty pieces that are found; the rest is scrap after firing"`
	FalseAlarm quantity.Share      `key:"false-alarms" default:"0 %" doc:"share of the good pieces that are rejected"`
}

// Glazing is the booths and the drying of the coat.
type Glazing struct {
	Booths []Booth  `key:"booths" doc:"groups of like booths, by name"`
	Dry    des.Time `key:"coat-drying" default:"4 h" doc:"drying of the coat before placing"`
}

// Booth is a group of like glazing booths, by hand or robot.
type Booth struct {
	Name       string              `key:"-"`
	Kind       string              `key:"kind" oneof:"hand,robot" doc:"sprayed by hand, or by robot"`
	Count      int                 `key:"booths" doc:"booths of this kind"`
	Crew       string              `key:"crew" optional:"yes" ref:"crew" doc:"sprayers; robots may do without"`
	Hours      string              `key:"hours" optional:"yes" ref:"hours" doc:"hours of robots without a crew"`
	Effective  quantity.Share      `key:"effective" default:"100 %" doc:"share of the hours that is worked; times are divided by it"`
	Ware       []string            `key:"ware" optional:"yes" ref:"ware" doc:"wares glazed here; left out, all"`
	Time       PerWare[random.Law] `key:"time" unit:"time" doc:"time for one piece"`
	Change     des.Time            `key:"colour-change" default:"0 min" doc:"change of colour"`
	Patience   des.Time            `key:"patience" default:"4 h" doc:"longest wait of another colour before the booth changes to it"`
	Breakdowns *Breakdowns         `key:"breakdowns" optional:"yes" doc:"failures and repairs of one booth"`
}

// Kiln is one tunnel, shuttle or roller kiln, or a group of like shuttles.
type Kiln struct {
	Name  string       `key:"-"`
	Kind  string       `key:"kind" oneof:"tunnel,shuttle,roller" doc:"tunnel: cars pushed without end; shuttle: load, fire, cool, unload; roller: rows on rollers"`
	Fires string       `key:"fires" default:"first" oneof:"first,refire,both" doc:"first fires, refires, or both"`
	Ware  []string     `key:"ware" optional:"yes" ref:"ware" doc:"wares fired here; left out, all"`
	Load  PerWare[int] `key:"load" doc:"loading plan: pieces on one car, row or shuttle load when of one ware"`
	Mix   string       `key:"mix" default:"one-ware" oneof:"one-ware,one-body,any" doc:"what may share a car or a load"`
	Curve []Segment    `key:"curve" optional:"yes" doc:"firing curve, checked for plausibility"`

	// Tunnel and roller.
	Inside   int                 `key:"inside" optional:"yes" doc:"cars or rows inside"`
	Push     des.Time            `key:"push" optional:"yes" doc:"push interval"`
	SlowPush map[string]des.Time `key:"slow-push" optional:"yes" ref:"hours" doc:"push interval during named hours, such as {weekend: 36 min}"`
	Fastest  des.Time            `key:"fastest-push" optional:"yes" doc:"least push interval the curve allows; left out, 0.9 x the push"`
	Slowest  des.Time            `key:"slowest-push" optional:"yes" doc:"longest push interval the draught allows; left out, 2 x the push"`
	Stretch  des.Time            `key:"stretched-push" optional:"yes" doc:"push interval while fewer loaded cars wait than stretch-below"`
	StretchN int                 `key:"stretch-below" default:"0" doc:"loaded cars waiting below which the push is stretched"`
	Short    string              `key:"when-short" default:"empty" oneof:"empty,hold" doc:"no loaded car at a push: send an empty car, or hold the push"`
	PartCar  quantity.Share      `key:"part-car" default:"50 %" doc:"least part load sent when no full load is to be had"`
	Fleet    int                 `key:"cars" optional:"yes" doc:"cars in the fleet; left out, no limit"`
	Ahead    int                 `key:"cars-ahead" default:"8" doc:"most loaded cars waiting before the kiln"`
	Placers  string              `key:"placers" optional:"yes" ref:"crew" doc:"crew that loads and unloads"`
	Place    des.Time            `key:"place" default:"0 min" doc:"time to place one piece"`
	Draw     des.Time            `key:"draw" default:"0 min" doc:"time to draw one piece"`
	Repair   int                 `key:"repair-every" default:"0" doc:"firings between repairs of a car deck; 0: no repairs"`
	RepairT  des.Time            `key:"repair-takes" default:"24 h" doc:"time a car is away for repair"`
	Wrecks   *Wrecks             `key:"wrecks" optional:"yes" doc:"car wrecks"`
	Stops    *Breakdowns         `key:"stops" optional:"yes" doc:"stops of the pusher, doors, burners, by calendar time"`

	// Shuttle.
	Count   int            `key:"kilns" default:"1" doc:"like shuttle kilns"`
	Loading des.Time       `key:"loading" optional:"yes" doc:"shuttle: loading of the kiln or of its cars"`
	Firing  des.Time       `key:"firing" optional:"yes" doc:"shuttle: light-up to end of soak"`
	Cooling des.Time       `key:"cooling" optional:"yes" doc:"shuttle: cooling to drawing temperature"`
	Drawing des.Time       `key:"drawing" optional:"yes" doc:"shuttle: unloading"`
	CarSets int            `key:"car-sets" default:"1" doc:"shuttle: sets of cars; with two, loading and drawing overlap the fire"`
	Start   string         `key:"start" default:"full" oneof:"full,least,clock" doc:"shuttle: lit when full, when least-load waits, or by the clock"`
	Least   quantity.Share `key:"least-load" default:"100 %" doc:"shuttle: least load, share of a full one"`
	Latest  des.Time       `key:"latest" optional:"yes" doc:"shuttle: a part load is taken when its first piece has waited this long"`
	At      string         `key:"at" optional:"yes" ref:"hours" doc:"clock: shuttles are loaded when these hours open"`
	Hours   string         `key:"hours" optional:"yes" ref:"hours" doc:"shuttle: hours for loading and drawing; left out, always"`

	// Fuel.
	Base    quantity.Power         `key:"energy-base" default:"0 GJ/h" doc:"tunnel and roller: fuel per hour, whatever the load"`
	PerCar  quantity.Energy        `key:"energy-per-car" default:"0 MJ" doc:"fuel per car pushed, loaded or empty"`
	PerFire quantity.Energy        `key:"energy-per-firing" default:"0 GJ" doc:"shuttle: fuel per firing, whatever the load"`
	PerKg   quantity.EnergyPerMass `key:"energy-per-kg" default:"0 MJ/kg" doc:"fuel per kilogram of fired ware"`
}

// Segment is one segment of a firing curve.
type Segment struct {
	To   quantity.Temperature `key:"to" doc:"temperature at the end of the segment"`
	Rate quantity.ThermalRate `key:"rate" optional:"yes" doc:"heating or cooling rate, degC per hour"`
	Hold des.Time             `key:"hold" optional:"yes" doc:"soak at this temperature"`
}

// Wrecks are car wrecks in a tunnel kiln.
type Wrecks struct {
	Between random.Law `key:"between" unit:"time" doc:"calendar time between wrecks"`
	Stop    random.Law `key:"stop" unit:"time" doc:"time the kiln stands"`
	Cars    int        `key:"cars-lost" doc:"cars whose ware is lost"`
}

// Sorting is selection after each fire.
type Sorting struct {
	Crew string              `key:"crew" ref:"crew" doc:"sorters"`
	Time PerWare[random.Law] `key:"time" unit:"time" doc:"time for one piece"`
}

// Refire is the patching of pieces that may be saved by another fire.
type Refire struct {
	Crew string              `key:"crew" ref:"crew" doc:"patchers"`
	Time PerWare[random.Law] `key:"time" unit:"time" doc:"grinding, filling, touching up one piece"`
	Dry  des.Time            `key:"coat-drying" default:"4 h" doc:"drying after patching"`
	Most int                 `key:"most" default:"1" doc:"refires of one piece; more is scrap"`
}

// Test is one leak or function test.
type Test struct {
	Name    string              `key:"-"`
	Crew    string              `key:"crew" ref:"crew" doc:"testers"`
	Ware    []string            `key:"ware" optional:"yes" ref:"ware" doc:"wares tested; left out, all"`
	Time    PerWare[random.Law] `key:"time" unit:"time" doc:"time for one piece"`
	OneIn   int                 `key:"one-in" default:"1" doc:"every n-th piece is tested; 1: all"`
	OfLoad  int                 `key:"of-each-load" default:"0" doc:"pieces tested of each car or kiln load, instead of every n-th; 0: none in particular"`
	Destroy bool                `key:"destructive" default:"no" doc:"yes: tested pieces are lost"`
	Finds   quantity.Share      `key:"finds" default:"100 %" doc:"share of the functional faults that are found"`
}

// Packing is fitting and packing; suites wait for their mates.
type Packing struct {
	Crew   string              `key:"crew" ref:"crew" doc:"packers"`
	Time   PerWare[random.Law] `key:"time" unit:"time" doc:"time for one piece"`
	Suites []Suite             `key:"suites" optional:"yes" doc:"matched sets packed together, by name"`
}

// Suite is a set of pieces packed together.
type Suite struct {
	Name   string         `key:"-"`
	Pieces map[string]int `key:"pieces" ref:"ware" doc:"pieces of each ware in one suite"`
}

// Order is a number of good pieces to be ready by a date.
type Order struct {
	Name     string `key:"-"`
	Ware     string `key:"ware" ref:"ware" doc:"ware ordered"`
	Quantity int    `key:"quantity" doc:"good pieces ordered"`
	Start    string `key:"start" optional:"yes" doc:"ware filled at or after this date and time counts; left out, the start of the run"`
	Stock    bool   `key:"counts-stock" default:"no" doc:"yes: pieces of the opening state count too"`
	Due      string `key:"due" optional:"yes" doc:"date promised"`
	Priority int    `key:"priority" default:"2" doc:"1 goes before 2 in every queue, and so on"`
	Packed   int    `key:"packed" default:"0" doc:"good pieces packed for it before the start of the run"`
	Lots     []Lot  `key:"lots" optional:"yes" doc:"part deliveries, by name; what is left is due with the order"`
}

// Lot is a part delivery of an order.
type Lot struct {
	Name     string `key:"-"`
	Quantity int    `key:"quantity" doc:"good pieces of this delivery"`
	Due      string `key:"due" doc:"date promised for it"`
}

// Fuel is the gas of kilns and dryers.
type Fuel struct {
	Price  quantity.EnergyPrice  `key:"price" default:"0 EUR/kWh" doc:"price of fuel on net calorific value"`
	Carbon quantity.CarbonFactor `key:"carbon" default:"56.1 kg/GJ" doc:"CO2 of the fuel on net calorific value; natural gas 56.1 kg/GJ (IPCC 2006 default)"`
}

// PerWare is a value given once for all wares (key "") or by ware, where the
// key "others" stands for the wares not named.
type PerWare[T any] map[string]T

// For returns the value for a ware and whether there is one.
func (p PerWare[T]) For(ware string) (T, bool) {
	if v, ok := p[ware]; ok {
		return v, true
	}
	if v, ok := p["others"]; ok {
		return v, true
	}
	v, ok := p[""]
	return v, ok
}
