package live

// Margin is how a value stands against its limits.
type Margin string

// The margins of a value.
const (
	Within    Margin = "within"
	Near      Margin = "near"
	Outside   Margin = "outside"
	NotJudged Margin = "not judged"
)

// Phase is how far a recording is.
type Phase string

// The phases of a recording.
const (
	Waiting Phase = "waiting"
	Running Phase = "recording"
	Ended   Phase = "ended"
	Failed  Phase = "failed"
)

// State is where the arc stands now; nil is not known.
type State struct {
	Record         string      `json:"record"`
	Title          string      `json:"title"` // of the job, for a person
	Job            string      `json:"job"`
	JobFile        string      `json:"job_file"`
	Phase          Phase       `json:"phase"`
	Trouble        *Trouble    `json:"trouble"` // why it failed
	At             string      `json:"at"`      // host time of this state
	Zone           Zone        `json:"zone"`    // of the machine, in which its people tell the time
	Epoch          int         `json:"epoch"`
	TickNS         int64       `json:"tick_ns"`
	Elapsed        float64     `json:"elapsed_s"` // since the first sample, on the clock of the box
	ArcOn          bool        `json:"arc_on"`
	InGap          bool        `json:"in_gap"`     // where the plan lays nothing
	Steady         *float64    `json:"steady_s"`   // since the arc last came or went
	ArcTime        float64     `json:"arc_time_s"` // of the whole job
	Held           bool        `json:"held"`       // no arc burns, or nothing is heard: what was last known of one stands in last
	Last           *Last       `json:"last"`       // of the newest arc; nil while it burns and where there was none
	Ending         *Ending     `json:"ending"`     // a person has ended the pass, and it has not ended yet
	Channels       []Channel   `json:"channels"`
	Raw            *Raw        `json:"raw"`
	Pass           *Pass       `json:"pass"`
	Place          *Place      `json:"place"`
	Deviations     []Deviation `json:"deviations"`
	Alarms         []Alarm     `json:"alarms"`      // newest first
	AlarmsMore     int         `json:"alarms_more"` // untouched ones that are not listed
	Seen           *string     `json:"seen"`        // while no pass is under way, and may be as it should be
	Next           *Next       `json:"next"`
	Ring           []Cell      `json:"ring"` // the present layer by angle
	Gaps           []Gap       `json:"gaps"` // planned
	Bore           *Bore       `json:"bore"`
	Whose          Whose       `json:"whose"`
	Link           Link        `json:"link"`  // of the box that tells the arc
	Boxes          []Box       `json:"boxes"` // all of them, in the order of the job
	Counts         Counts      `json:"counts"`
	LastFindings   []Finding   `json:"last_findings"` // newest first, three at most
	LastEvents     []Event     `json:"last_events"`   // newest first, three at most
	DurableSamples int64       `json:"durable_samples"`
}

// Zone is a time zone as it holds at a moment.
type Zone struct {
	Words  string `json:"words"`    // its name, and how far it is from UTC
	Offset int    `json:"offset_s"` // what local time is ahead of UTC
}

// Last is what was known of the newest arc as it was last looked at.
type Last struct {
	Channels []Channel `json:"channels"`
	Pass     *Pass     `json:"pass"`
	Ended    *float64  `json:"ended_s"` // since the arc went out, on the clock of the box
}

// Ending is an end of the pass that waits.
type Ending struct {
	Words string `json:"words"` // for what
}

// Trouble is why a recording failed.
type Trouble struct {
	Error string `json:"error"`
	Hint  string `json:"hint"`
}

// Raw is what the box reads, before any calibration and whether an arc burns or not.
type Raw struct {
	Voltage float64 `json:"voltage_v"`
	Current float64 `json:"current_a"`
}

// Channel is one quantity as it is now.
type Channel struct {
	Name  string   `json:"name"`
	Unit  string   `json:"unit"`
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	State Margin   `json:"state"`
	Basis *string  `json:"basis"` // measured, derived, declared
}

// Pass is the pass in progress.
type Pass struct {
	Number       int       `json:"number"`
	Layer        *int      `json:"layer"`
	Pattern      *string   `json:"pattern"`
	Elapsed      *float64  `json:"elapsed_s"`
	ArcTime      *float64  `json:"arc_time_s"`
	ArcOnRatio   *float64  `json:"arc_on_ratio"`
	PlannedArcOn *float64  `json:"planned_arc_on_ratio"`
	Turns        *float64  `json:"turns"`
	PlannedTurns *float64  `json:"planned_turns"`
	Energy       *float64  `json:"energy_j"`
	Judged       string    `json:"judged"` // heat input or arc energy
	Unit         string    `json:"unit"`
	Value        *float64  `json:"value"`
	Expanded     *float64  `json:"expanded_uncertainty"`
	Low          *float64  `json:"low"`
	High         *float64  `json:"high"`
	Verdict      *string   `json:"verdict"`
	PowerBasis   *string   `json:"power_basis"`
	TravelBasis  *string   `json:"travel_basis"`
	Forecast     *Forecast `json:"forecast"`
}

// Forecast is what the pass comes to if it goes on as it does.
type Forecast struct {
	Value     *float64 `json:"value"`
	Remaining *float64 `json:"remaining_s"`
	State     Margin   `json:"state"`
}

// Place is where the torch is.
type Place struct {
	// Turn is which of the Turns of the layer is being laid; TurnIs names it: turn of a helix,
	// ring, stroke. Turns is nil where the plan has no such one.
	Turn   *int     `json:"turn"`
	Turns  *int     `json:"turns"`
	TurnIs *string  `json:"turn_is"`
	Layer  *int     `json:"layer"`
	Layers *int     `json:"layers"`
	Angle  *float64 `json:"angle_deg"`
	// AngleUncertainty is expanded, k = 2; AngleBy says what the angle rests on.
	AngleUncertainty *float64 `json:"angle_uncertainty_deg"`
	AngleBy          *string  `json:"angle_by"`
	Depth            *float64 `json:"depth_mm"`
	LayerDone        *float64 `json:"layer_done"` // share from 0 to 1
}

// Deviation is a value that is out of its limits now.
type Deviation struct {
	Rule    string   `json:"rule"`
	Words   string   `json:"words"`
	Lasted  float64  `json:"lasted_s"`
	Value   *float64 `json:"value"`
	Limit   *float64 `json:"limit"`
	Unit    string   `json:"unit"`
	Finding bool     `json:"finding"` // it has lasted long enough to be inspected
}

// Next is what the next layer is to turn at.
type Next struct {
	Layer      int      `json:"layer"`
	Diameter   *float64 `json:"diameter_mm"`
	RPM        *float64 `json:"rpm"`
	LowRPM     *float64 `json:"low_rpm"`
	HighRPM    *float64 `json:"high_rpm"`
	PresentRPM *float64 `json:"present_rpm"` // what the layer in progress should turn at
}

// Cell is a part of the present layer by angle.
type Cell struct {
	From    float64  `json:"from_deg"`
	To      float64  `json:"to_deg"`
	Value   *float64 `json:"value"` // of what is judged, in the newest turn
	Arc     *float64 `json:"arc"`   // share of the time with arc
	State   Margin   `json:"state"`
	Finding bool     `json:"finding"`
}

// Gap is a part of the turn that is planned without weld.
type Gap struct {
	From float64 `json:"from_deg"`
	To   float64 `json:"to_deg"`
}

// Bore is the bore of the job.
type Bore struct {
	Worn       *float64 `json:"worn_mm"`
	Finish     *float64 `json:"finish_mm"`
	WeldTo     *float64 `json:"weld_to_mm"`
	Length     *float64 `json:"length_mm"`
	Layers     *int     `json:"layers"`
	StartAngle float64  `json:"start_deg"`
}

// LinkState is how the sensor box is heard.
type LinkState string

// The states of the link.
const (
	LinkGood      LinkState = "good"
	LinkDoubtful  LinkState = "doubtful"
	LinkSilent    LinkState = "silent"
	LinkUnplugged LinkState = "unplugged"
)

// Link is the way from the sensor box.
type Link struct {
	State   LinkState `json:"state"`
	Words   string    `json:"words"`
	Port    string    `json:"port"`
	Silent  *float64  `json:"silent_s"` // since the last sample, on the host's clock
	Frames  int64     `json:"frames"`
	Lost    int64     `json:"lost"`
	Damaged int64     `json:"damaged"`
	Gaps    int64     `json:"gaps"`
	Rate    *float64  `json:"rate"` // samples a second
}

// Whose says which box tells the arc.
type Whose struct {
	Words string `json:"words"`
	// Change says that it is not the box that was named before, or may not be; nil is
	// no change. It stays until the recording ends.
	Change *string `json:"change"`
	// Without are the channels for which no calibration on record holds.
	Without []string `json:"without"`
}

// Counts is how much there is.
type Counts struct {
	Passes   int `json:"passes"`
	Findings int `json:"findings"`
	Events   int `json:"events"` // the findings by their causes
	Warnings int `json:"warnings"`
}

// Finding is a finding as it came.
type Finding struct {
	Rule     string   `json:"rule"`
	Event    int      `json:"event"` // number of the event that it belongs to so far
	Cause    string   `json:"cause"` // of that event
	Pass     int      `json:"pass"`
	Angle    *float64 `json:"angle_deg"`
	Depth    *float64 `json:"depth_mm"`
	Sentence string   `json:"sentence"`
}

// Event is findings of one cause.
type Event struct {
	Number   int      `json:"number"`
	Cause    string   `json:"cause"`
	Findings int      `json:"findings"` // how many
	Pass     int      `json:"pass"`
	Angle    *float64 `json:"angle_deg"`
	Depth    *float64 `json:"depth_mm"`
	Sentence string   `json:"sentence"`
}

// Strip is extremes of short equal stretches of time, on the clock of the box,
// oldest first. As an event it holds only what is new.
type Strip struct {
	Record string      `json:"record"`
	Epoch  int         `json:"epoch"`
	Step   float64     `json:"step_s"`
	Lines  []StripLine `json:"lines"`
}

// StripLine is one channel of a strip; its lists have one length. Nil breaks the line.
type StripLine struct {
	Channel string     `json:"channel"`
	Unit    string     `json:"unit"`
	At      []float64  `json:"at_s"`
	Low     []*float64 `json:"low"`
	High    []*float64 `json:"high"`
	Mean    []*float64 `json:"mean"`
}
