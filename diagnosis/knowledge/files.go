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
	{versionFile, rec("The version of the knowledge.", needs("version", aText, "such as 2026.11"))},
	{termsFile, rec("Words shared by all families.",
		needs("licensed_prefix", aText, "words with which every instruction begins that is only for a licensed person"),
		opt("skills", listOf(0, rec("A skill of a technician.",
			needs("code", aCode, "name used in faults"),
			needs("label", aText, "as shown to people"),
			opt("licensed", aFlag, "true when only a licensed or specially trained person has it; false when left out"))), "skills"),
		opt("tools", listOf(0, rec("A tool.",
			needs("code", aCode, "name used in faults and checks"),
			needs("label", aText, "as shown to people"))), "tools"),
		opt("cautions", listOf(0, rec("A caution shown at the step where it matters.",
			needs("code", aCode, "name used in faults and checks"),
			needs("text", aText, "what is shown"))), "cautions"),
		opt("licensed_parts", shape{kind: table, item: &shape{kind: code, doc: "licensed skill"}}, "part kinds that nobody may touch without the named licensed skill"),
	)},
	{hazardsFile, rec("Dangers a caller may report, in the order in which they are to be spoken of.",
		source(),
		needs("hazards", listOf(0, rec("One danger.",
			needs("code", aCode, "name used by the wording"),
			needs("label", aText, "as shown to the call-taker"),
			needs("severity", oneOf(severityWords), "emergency: leave and call for help; urgent: off if safe, keep away; stop: leave it off; care: somebody depends on it"),
			needs("stops", aFlag, "true when triage ends and no repair advice is given on the phone"),
			needs("booking", oneOf(bookingWords), "none until declared safe, priority with a do-not-use note, normal with a note"),
			needs("say", listOf(1, shape{kind: text, doc: "one step"}), "what to say and have done, in order"),
			source(),
		)), "the dangers"),
	)},
}

var familyFiles = []fileShape{
	{familyFile, rec("One kind of appliance. Its code is the name of the folder.",
		needs("label", aText, "as shown to people"),
		needs("faults_per_call", shape{kind: number, lo: 1, hi: 3, loOpen: true}, "mean number of faults in a machine whose owner calls; sets how likely two at once are"),
		needs("variants", listOf(1, rec("A construction that shifts what can fail.",
			needs("code", aCode, "name used in faults and questions"),
			needs("label", aText, "as shown to people"),
			needs("share", share(), "share of calls about the family that are about this variant; the shares sum to 1"),
			opt("licence", aCode, "licensed skill without which nobody may open this variant, whatever the fault"),
		)), "the variants"),
	)},
	{partsFile, rec("Part kinds a fault may need.",
		source(),
		needs("parts", listOf(1, rec("One part kind.",
			needs("kind", aCode, "code of the shared vocabulary; no_part for what is put right without a part"),
			needs("label", aText, "as shown to people"),
			needs("carry_minutes", minutes(), "what it costs to bring the part and not need it, in minutes of technician time"),
			opt("typical", listOf(0, rec("A rating usual when the model is unknown.",
				needs("mark", aText, "as printed on the part"),
				needs("share", share(), "share of machines that have it"),
			)), "usual ratings, most usual first; shares sum to at most 1, the rest is other"),
			source(),
		)), "the part kinds"),
	)},
	{findingsFile, rec("What can be observed and is true or false.",
		source(),
		needs("findings", listOf(1, rec("One finding. Presence is the anomaly or the telling fact.",
			needs("code", aCode, "name used everywhere else"),
			needs("label", aText, "as said to a call-taker"),
			needs("leak", shape{kind: number, lo: 0, hi: 1, loOpen: true, hiOpen: true}, "probability that it is there although no fault of the family causes it"),
			source(),
		)), "the findings"),
	)},
	{accessFile, rec("What must be opened; paid once per visit and shared by all checks behind it.",
		source(),
		needs("access", listOf(1, rec("One access group.",
			needs("code", aCode, "name used in faults and checks"),
			needs("label", aText, "what is opened"),
			needs("minutes", minutes(), "to open it once its parent is open"),
			opt("parent", aCode, "the group that must be open before"),
			source(),
		)), "the access groups"),
	)},
	{faultsFile, rec("What can be wrong, and what it causes.",
		source(),
		needs("faults", listOf(1, rec("One fault.",
			needs("code", aCode, "name used everywhere else"),
			needs("label", aText, "as shown to people"),
			needs("part", aCode, "part kind needed; no_part when none is"),
			opt("also", listOf(0, aCode), "part kinds changed together with it"),
			needs("share", shape{kind: number, lo: 0, hi: 1, loOpen: true, hiOpen: true}, "share of calls in which it is the matter, in a variant of factor 1, before anything is said; only its size against the other shares counts"),
			opt("variants", shape{kind: table, item: &shape{kind: number, lo: 0, hi: 50}}, "factor on share by variant; 1 when left out, 0 when it cannot occur there"),
			opt("wear", oneOf(wearWords), "how the risk changes with age: steady (when left out), early, wear_out"),
			needs("minutes", minutes(), "to put it right, with access, without travel and final safety test"),
			needs("access", aCode, "access group behind which it sits"),
			needs("hazard", oneOf(classWords), "who may do it"),
			opt("skills", listOf(0, aCode), "skills needed"),
			opt("tools", listOf(0, aCode), "tools needed"),
			opt("cautions", listOf(0, aCode), "cautions shown with the repair"),
			opt("phone_fix", aText, "what the caller can safely do to settle it on the phone; outside checks only"),
			needs("links", shape{kind: table, lo: 1, hi: 200, item: &shape{kind: number, lo: 0, hi: 1, loOpen: true}}, "findings it causes, each with the probability that it does when nothing else does"),
			source(),
		)), "the faults"),
	)},
	{causesFile, rec("Faults that bring other faults.",
		source(),
		needs("causes", listOf(0, rec("One cause link.",
			needs("from", aCode, "the fault that comes first"),
			needs("to", aCode, "the fault it brings"),
			needs("p", share(), "probability that it does"),
			source(),
		)), "the cause links"),
	)},
	{questionsFile, rec("What the call-taker can ask.",
		source(),
		needs("questions", listOf(1, rec("One question.",
			needs("code", aCode, "name"),
			needs("text", aText, "as asked"),
			needs("seconds", shape{kind: number, lo: 0, hi: 600, loOpen: true}, "what asking and answering costs"),
			opt("variants", listOf(0, aCode), "only for these variants; all when left out"),
			needs("answers", listOf(2, rec("One reply. One that tells nothing (don't know) has neither present nor absent.",
				needs("code", aCode, "name"),
				needs("text", aText, "as shown"),
				opt("present", ratios(), "findings this reply says are there, with the ratio P(reply | there) / P(reply | not there)"),
				opt("absent", ratios(), "findings this reply says are not there, with the ratio P(reply | not there) / P(reply | there)"),
			)), "the replies"),
			source(),
		)), "the questions"),
	)},
	{checksFile, rec("Tests on site.",
		source(),
		needs("checks", listOf(1, rec("One test.",
			needs("code", aCode, "name"),
			needs("label", aText, "as shown to people"),
			needs("faults", listOf(1, aCode), "the faults it tells about"),
			needs("instruction", aText, "what to do, in technician's words"),
			needs("minutes", minutes(), "without access"),
			opt("tools", listOf(0, aCode), "tools needed"),
			needs("access", aCode, "access group that must be open"),
			needs("hazard", oneOf(classWords), "who may do it"),
			needs("expect", aText, "the reading or sight that means good"),
			needs("fail", aText, "what means bad"),
			needs("detects", share(), "P(fails | fault present)"),
			needs("false_alarm", shape{kind: number, lo: 0, hi: 1, hiOpen: true}, "P(fails | fault absent)"),
			opt("cautions", listOf(0, aCode), "cautions shown at this step"),
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

var (
	aText = shape{kind: text}
	aCode = shape{kind: code}
	aFlag = shape{kind: flag}
)

func rec(doc string, keys ...key) shape { return shape{kind: record, doc: doc, keys: keys} }

func needs(name string, s shape, doc string) key {
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
	return opt("source", aText, "where the figures come from; at the top of the file for all entries, at an entry when it differs")
}

func listOf(least float64, item shape) shape { return shape{kind: list, lo: least, item: &item} }

func oneOf(words []string) shape { return shape{kind: word, words: words} }

func share() shape { return shape{kind: number, lo: 0, hi: 1, loOpen: true} }

func minutes() shape { return shape{kind: number, lo: 0, hi: 600} }

func ratios() shape {
	return shape{kind: table, lo: 1, hi: 50, item: &shape{kind: number, lo: 1, hi: 1000, loOpen: true}}
}
