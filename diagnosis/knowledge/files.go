package knowledge

// The description of every file. Each key stands here once, with what it may
// hold and what it means; the check of files, the JSON schema and the expert's
// reference are all made from it.

// Names of the files at the top and in the folder of a family.
const (
	versionFile   = "version.yaml"
	termsFile     = "terms.yaml"
	hazardsFile   = "hazards.yaml"
	familyFile    = "family.yaml"
	partsFile     = "parts.yaml"
	findingsFile  = "findings.yaml"
	accessFile    = "access.yaml"
	faultsFile    = "faults.yaml"
	causesFile    = "causes.yaml"
	questionsFile = "questions.yaml"
	checksFile    = "checks.yaml"
)

type fileShape struct {
	name  string
	shape shape
}

var topFiles = []fileShape{
	{versionFile, rec("The version of the knowledge.", must("version", text, "such as 2026.11"))},
	{termsFile, rec("Words shared by all families.",
		must("licensed_prefix", text, "words with which every instruction begins that is only for a licensed person"),
		opt("skills", listOf(0, rec("A skill of a technician.",
			must("code", code, "name used in faults"),
			must("label", text, "as shown to people"),
			key{name: "licensed", shape: shape{kind: flag, doc: "true when only a licensed or specially trained person has it; false when left out"}})), "skills"),
		opt("tools", listOf(0, rec("A tool.",
			must("code", code, "name used in faults and checks"),
			must("label", text, "as shown to people"))), "tools"),
		opt("cautions", listOf(0, rec("A caution shown at the step where it matters.",
			must("code", code, "name used in faults and checks"),
			must("text", text, "what is shown"))), "cautions"),
		opt("licensed_parts", shape{kind: table, item: &shape{kind: code, doc: "licensed skill"}}, "part kinds that nobody may touch without the named licensed skill"),
	)},
	{hazardsFile, rec("Dangers a caller may report, in the order in which they are to be spoken of.",
		source(),
		must2("hazards", listOf(0, rec("One danger.",
			must("code", code, "name used by the wording"),
			must("label", text, "as shown to the call-taker"),
			must2("severity", oneOf(severityWords), "emergency: leave and call for help; urgent: off if safe, keep away; stop: leave it off; care: somebody depends on it"),
			key{name: "stops", required: true, shape: shape{kind: flag, doc: "true when triage ends and no repair advice is given on the phone"}},
			must2("booking", oneOf(bookingWords), "none until declared safe, priority with a do-not-use note, normal with a note"),
			must2("say", listOf(1, shape{kind: text, doc: "one step"}), "what to say and have done, in order"),
			source(),
		)), "the dangers"),
	)},
}

var familyFiles = []fileShape{
	{familyFile, rec("One kind of appliance. Its code is the name of the folder.",
		must("label", text, "as shown to people"),
		must2("faults_per_call", shape{kind: number, lo: 1, hi: 3, loOpen: true}, "mean number of faults in a machine whose owner calls; sets how likely two at once are"),
		must2("variants", listOf(1, rec("A construction that shifts what can fail.",
			must("code", code, "name used in faults and questions"),
			must("label", text, "as shown to people"),
			must2("share", share(), "share of calls about the family that are about this variant; the shares sum to 1"),
		)), "the variants"),
	)},
	{partsFile, rec("Part kinds a fault may need.",
		source(),
		must2("parts", listOf(1, rec("One part kind.",
			must("kind", code, "code of the shared vocabulary; no_part for what is put right without a part"),
			must("label", text, "as shown to people"),
			must2("carry_minutes", minutes(), "what it costs to bring the part and not need it, in minutes of technician time"),
			opt("typical", listOf(0, rec("A rating usual when the model is unknown.",
				must("mark", text, "as printed on the part"),
				must2("share", share(), "share of machines that have it"),
			)), "usual ratings, most usual first; shares sum to at most 1, the rest is other"),
			source(),
		)), "the part kinds"),
	)},
	{findingsFile, rec("What can be observed and is true or false.",
		source(),
		must2("findings", listOf(1, rec("One finding. Presence is the anomaly or the telling fact.",
			must("code", code, "name used everywhere else"),
			must("label", text, "as said to a call-taker"),
			must2("leak", shape{kind: number, lo: 0, hi: 1, loOpen: true, hiOpen: true}, "probability that it is there although no fault of the family causes it"),
			source(),
		)), "the findings"),
	)},
	{accessFile, rec("What must be opened; paid once per visit and shared by all checks behind it.",
		source(),
		must2("access", listOf(1, rec("One access group.",
			must("code", code, "name used in faults and checks"),
			must("label", text, "what is opened"),
			must2("minutes", minutes(), "to open it once its parent is open"),
			opt("parent", shape{kind: code}, "the group that must be open before"),
			source(),
		)), "the access groups"),
	)},
	{faultsFile, rec("What can be wrong, and what it causes.",
		source(),
		must2("faults", listOf(1, rec("One fault.",
			must("code", code, "name used everywhere else"),
			must("label", text, "as shown to people"),
			must("part", code, "part kind needed; no_part when none is"),
			opt("also", listOf(0, shape{kind: code}), "part kinds changed together with it"),
			must2("share", shape{kind: number, lo: 0, hi: 1, loOpen: true, hiOpen: true}, "share of calls in which it is the matter, in a variant of factor 1, before anything is said; only its size against the other shares counts"),
			opt("variants", shape{kind: table, item: &shape{kind: number, lo: 0, hi: 50}}, "factor on share by variant; 1 when left out, 0 when it cannot occur there"),
			opt("wear", oneOf(wearWords), "how the risk changes with age: steady (when left out), early, wear_out"),
			must2("minutes", minutes(), "to put it right, with access, without travel and final safety test"),
			must("access", code, "access group behind which it sits"),
			must2("hazard", oneOf(classWords), "who may do it"),
			opt("skills", listOf(0, shape{kind: code}), "skills needed"),
			opt("tools", listOf(0, shape{kind: code}), "tools needed"),
			opt("cautions", listOf(0, shape{kind: code}), "cautions shown with the repair"),
			opt("phone_fix", shape{kind: text}, "what the caller can safely do to settle it on the phone; outside checks only"),
			must2("links", shape{kind: table, lo: 1, hi: 200, item: &shape{kind: number, lo: 0, hi: 1, loOpen: true}}, "findings it causes, each with the probability that it does when nothing else does"),
			source(),
		)), "the faults"),
	)},
	{causesFile, rec("Faults that bring other faults.",
		source(),
		must2("causes", listOf(0, rec("One cause link.",
			must("from", code, "the fault that comes first"),
			must("to", code, "the fault it brings"),
			must2("p", share(), "probability that it does"),
			source(),
		)), "the cause links"),
	)},
	{questionsFile, rec("What the call-taker can ask.",
		source(),
		must2("questions", listOf(1, rec("One question.",
			must("code", code, "name"),
			must("text", text, "as asked"),
			must2("seconds", shape{kind: number, lo: 0, hi: 600, loOpen: true}, "what asking and answering costs"),
			opt("variants", listOf(0, shape{kind: code}), "only for these variants; all when left out"),
			must2("answers", listOf(2, rec("One reply. One that tells nothing (don't know) has neither present nor absent.",
				must("code", code, "name"),
				must("text", text, "as shown"),
				opt("present", ratios(), "findings this reply says are there, with the ratio P(reply | there) / P(reply | not there)"),
				opt("absent", ratios(), "findings this reply says are not there, with the ratio P(reply | not there) / P(reply | there)"),
			)), "the replies"),
			source(),
		)), "the questions"),
	)},
	{checksFile, rec("Tests on site.",
		source(),
		must2("checks", listOf(1, rec("One test.",
			must("code", code, "name"),
			must("label", text, "as shown to people"),
			must2("faults", listOf(1, shape{kind: code}), "the faults it tells about"),
			must("instruction", text, "what to do, in technician's words"),
			must2("minutes", minutes(), "without access"),
			opt("tools", listOf(0, shape{kind: code}), "tools needed"),
			must("access", code, "access group that must be open"),
			must2("hazard", oneOf(classWords), "who may do it"),
			must("expect", text, "the reading or sight that means good"),
			must("fail", text, "what means bad"),
			must2("detects", share(), "P(fails | fault present)"),
			must2("false_alarm", shape{kind: number, lo: 0, hi: 1, hiOpen: true}, "P(fails | fault absent)"),
			opt("cautions", listOf(0, shape{kind: code}), "cautions shown at this step"),
			source(),
		)), "the checks"),
	)},
}

var (
	wearWords     = []string{"steady", "early", "wear_out"}                  // in order of Wear
	classWords    = []string{"outside", "isolated", "energised", "licensed"} // in order of HazardClass
	severityWords = []string{"emergency", "urgent", "stop", "care"}          // in order of HazardSeverity
	bookingWords  = []string{"none", "priority", "normal"}                   // in order of Booking
)

func rec(doc string, keys ...key) shape { return shape{kind: record, doc: doc, keys: keys} }

func must(name string, k kind, doc string) key {
	return key{name: name, required: true, shape: shape{kind: k, doc: doc}}
}

func must2(name string, s shape, doc string) key {
	s.doc = doc
	return key{name: name, required: true, shape: s}
}

func opt(name string, s shape, doc string) key {
	s.doc = doc
	return key{name: name, shape: s}
}

// source may stand at the top of a file for all entries and at each entry that
// differs; one of the two is required, which the rules check.
func source() key {
	return opt("source", shape{kind: text}, "where the figures come from; at the top of the file for all entries, at an entry when it differs")
}

func listOf(least float64, item shape) shape { return shape{kind: list, lo: least, item: &item} }

func oneOf(words []string) shape { return shape{kind: word, words: words} }

func share() shape { return shape{kind: number, lo: 0, hi: 1, loOpen: true} }

func minutes() shape { return shape{kind: number, lo: 0, hi: 600} }

func ratios() shape {
	return shape{kind: table, lo: 1, hi: 50, item: &shape{kind: number, lo: 1, hi: 1000, loOpen: true}}
}
