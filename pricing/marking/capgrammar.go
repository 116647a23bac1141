package marking

import "regexp"

// The grammar of capacitor marks. Order of use matters and is that of
// parseCapacitor: what has a fixed shape is taken first.
var (
	capSpelling = []struct {
		re   *regexp.Regexp
		with string
	}{
		{regexp.MustCompile(`\b(?:MICRO|MIKRO)[\s-]?F(?:ARADS?)?\b|\bU[\s-]?FARADS?\b`), "UF"},
		{regexp.MustCompile(`(\d\s*)(?:MICRO|MIKRO|MIC|MIKE)S?\b`), "${1}UF"},
		{regexp.MustCompile(`(\d\s*|\b)(?:MFDS?|MF|MICROF|UFD|UFS|U\s+F)\b`), "${1}UF"},
		{regexp.MustCompile(`\bNANO[\s-]?FARADS?\b`), "NF"},
		{regexp.MustCompile(`\bPICO[\s-]?FARADS?\b`), "PF"},
		{regexp.MustCompile(`(\d\s*|\b)VOLTS?\b`), "${1}V"},
		{regexp.MustCompile(`\bWV\b|(\d\s*)WV`), "${1}V"},
		{regexp.MustCompile(`V\.?\s*(?:A\.?C\b\.?|~)`), "VAC"},
		{regexp.MustCompile(`~\s*(\d{2,4})\s*V\b`), "${1}VAC"},
		{regexp.MustCompile(`V\.?\s*(?:D\.?C\b\.?|=)`), "VDC"},
		{regexp.MustCompile(`(\d{3})\s*V([BCD])\b`), "${1}V $2"}, // 475VB; 450VA would be a power
		{regexp.MustCompile(`\b(30|10|3|1)\.000(\s*H)`), "${1}000$2"},
		{regexp.MustCompile(`PER\s?CENT|\bPCT\b`), "%"},
		{regexp.MustCompile(`\bHERTZ\b|\bCYCLES?\b`), "HZ"},
		{regexp.MustCompile(`\bCLASS\b`), "CL"},
		{regexp.MustCompile(`(^|[^\d.])0+(\d)`), "$1$2"},
	}
	capTerminalList = regexp.MustCompile(`\b(?:C|COM|FAN|HERM)(?:\s*[/,-]\s*(?:C|COM|FAN|HERM))+\b|\b(?:FAN|HERM)\b`)
	// A piece with a question mark or blank between its characters was not read
	// by the technician; the digits beside it are not to be trusted either.
	capDamaged = regexp.MustCompile(`[^\s/+]*[?_#][^\s/+]*(?:\s*(?:UF|VAC|V|VDC|HZ)\b)?`)
	// "4 50 V": a voltage of two figures after a lone figure has come apart.
	capBroken     = regexp.MustCompile(`(?:^|[^+/&±\s] )\d{1,2} \d{2} ?(?:V|VAC|VDC)\b`)
	capUnreadProt = regexp.MustCompile(`\b[SP]\?|\bPROTECTION (?:CL(?:ASS)? )?(?:IS )?(?:UNREADABLE|ILLEGIBLE|NOT READABLE|WORN OFF)\b`)
	capUnreadable = regexp.MustCompile(`(?:\b(?:VOLTAGE|VOLTS|V|VAC|CAPACITANCE|CAPACITY|VALUE|UF|CL|RATING|MARK(?:ING)?|PROTECTION)\b\s*)?(?:IS |ARE )?\b(?:UNREADABLE|ILLEGIBLE|NOT READABLE|CAN'?T READ(?: \w+)?|CANNOT READ(?: \w+)?|WORN(?: OFF| AWAY)?|RUBBED OFF|FADED|BURNT OFF|UNKNOWN|NOT VISIBLE|MISSING)\b`)

	capClimate    = regexp.MustCompile(`-?\b(10|25|40|55)\s*/\s*\+?0?(55|70|85|90|100|105|125)\s*/\s*(10|21|56)\b`)
	capTemps      = regexp.MustCompile(`-(10|25|40|55)\s*(?:°\s*C)?\s*(?:/|TO|\.\.+|-)\s*\+?\s*0?(55|70|85|90|100|105|125)\s*(?:°\s*C|C\b)`)
	capTolBoth    = regexp.MustCompile(`-\s*(\d{1,2}(?:\.\d)?)\s*%?\s*/?\s*\+\s*(\d{1,2}(?:\.\d)?)\s*%`)
	capTolBothRev = regexp.MustCompile(`\+\s*(\d{1,2}(?:\.\d)?)\s*%?\s*/?\s*-\s*(\d{1,2}(?:\.\d)?)\s*%`)
	capTolPct     = regexp.MustCompile(`±?\s*\b(\d{1,2}(?:\.\d)?)\s*%`)
	capTolAbs     = regexp.MustCompile(`±\s*\d+(?:\.\d+)?\s*(?:UF|NF)\b`)
	capTolLetter  = regexp.MustCompile(`(UF)\s*([JKM])\b`)
	capProtection = regexp.MustCompile(`(?:\bCL\.?\s*)?\b(S[0-3]|P[0-2])\b`)
	capFrequency  = regexp.MustCompile(`\b(50\s*(?:HZ)?\s*(?:/|-|OR|AND|&|\+)\s*60|60\s*(?:HZ)?\s*(?:/|-|OR|AND|&)\s*50|50|60)\s*HZ\b`)
	capHours      = regexp.MustCompile(`\b(30000|10000|3000|1000)\s*H(?:OURS|RS|R)?\b`)

	capDoubleTab = regexp.MustCompile(`\b(?:DOUBLE|TWIN|DUAL)[\s-]?(?:TABS?|TERMINALS?|SPADES?)\b|\b(?:4|FOUR|2X2|2\+2)\s*(?:TABS?|TAGS?|SPADES?)\b`)
	capSingleTab = regexp.MustCompile(`\bSINGLE[\s-]?(?:TABS?|TERMINALS?|SPADES?)\b|\b(?:2|TWO|2X1|1\+1)\s*(?:TABS?|TAGS?|SPADES?)\b`)
	capLeads     = regexp.MustCompile(`\b(?:FLYING |WIRE |WITH )?(?:LEADS?|LEADED|WIRES|CABLE)\b`)
	capTabWidth  = regexp.MustCompile(`\b(6\.3|2\.8|4\.8)(?:X0\.[58])?(?:\s*MM)?\s*(?:TABS?|TAGS?|SPADES?|FASTENERS?)\b|\b(6\.3|2\.8|4\.8)X0\.[58](?:\s*MM)?`)
	capNoBleed   = regexp.MustCompile(`\b(?:NO|WITHOUT|W/O)\s+(?:A\s+)?(?:BUILT-IN\s+)?(?:BLEED(?:ER)?|DISCHARGE|RESISTOR)(?:\s+RESISTOR)?\b`)
	capBleedOhms = regexp.MustCompile(`\b(\d{1,9}(?:\.\d{1,2})?)\s*([KM])?\s*OHMS?\b(?:\s*(?:BLEED(?:ER)?|DISCHARGE|RESISTOR))*`)
	capBleed     = regexp.MustCompile(`\b(?:BLEED(?:ER)?|DISCHARGE|INTERNAL)(?:\s+RESISTOR)?\b|\bRESISTOR\b`)
	capStud      = regexp.MustCompile(`\bM(6|8|10|12)\b(?:\s*(?:STUD|BOLT|SCREW))?`)
	capCase      = regexp.MustCompile(`(?:Ø\s*|\bDIA\.?\s*)?\b([1-9]\d{1,2}(?:\.\d)?)\s*X\s*([1-9]\d{1,2}(?:\.\d)?)\b(?:\s*MM)?`)

	capParallel     = regexp.MustCompile(`\b(?:IN |WIRED IN )?PARALLEL\b`)
	capSeries       = regexp.MustCompile(`\b(?:IN |WIRED IN )?SERIES\b`)
	capTwo          = regexp.MustCompile(`\b(?:TWO |2 )?(?:SINGLES|SEPARATE)\b|\b(?:TWO|PAIR OF)\b`)
	capDual         = regexp.MustCompile(`\bDUAL(?:[\s-]RUN)?\b`)
	capStart        = regexp.MustCompile(`\b(?:MOTOR[\s-])?START(?:ING|ER)?\b`)
	capRunWord      = regexp.MustCompile(`\bRUN(?:NING)?\b`)
	capSuppressor   = regexp.MustCompile(`\b(?:X[123]|Y[1-4]|SUPPRESS(?:OR|ION)|EMI)\b`)
	capLamp         = regexp.MustCompile(`\b(?:LAMP|LIGHTING|FLUORESCENT)\b`)
	capHV           = regexp.MustCompile(`\bHIGH[\s-]VOLTAGE\b|\bHV\b|\bMICROWAVE\b`)
	capElectrolytic = regexp.MustCompile(`\bELECTROLYTIC\b`)
	capDC           = regexp.MustCompile(`\b(?:DC|D\.C\.?|ELECTROLYTIC)\b`)

	capPairedList = regexp.MustCompile(`\b(\d{3})\s*(?:V|VAC)?\s*/\s*(\d{3})\s*(?:VAC|V)\s*(?:CL\.?\s*)?([A-D])\s*/\s*([A-D])\b`)
	capVClass     = regexp.MustCompile(`\b(\d{2,4})\s*(VAC|V)\s*[-/(,:]?\s*(?:CL[.:]?\s*)?\b([A-D])\b\)?`)
	capClassV     = regexp.MustCompile(`(?:(?:\bCL[.:]?\s*)([A-D])|\b([BCD]))\s*[-/(:]?\s*\b(\d{3})\s*(?:VAC|V)\b`)
	capVList      = regexp.MustCompile(`\b(\d{3})\s*(?:VAC|V)?\s*[/-]\s*(\d{3})\s*(VAC|VDC|V)\b`)
	capVDC        = regexp.MustCompile(`\b(\d{1,4}(?:\.\d)?)\s*(?:VDC|DC)\b|\bDC\s*(\d{2,4})\s*V\b`)
	capKV         = regexp.MustCompile(`\b(\d(?:\.\d{1,3})?)\s*K(VAC|VDC|V)\b`)
	capV          = regexp.MustCompile(`(?:\bAC\s*)?\b(\d{2,4})\s*(VAC|V)\b`)
	capBareAC     = regexp.MustCompile(`\b(\d{3})\s*AC\b`)
	capLabelV     = regexp.MustCompile(`\b(?:VAC|V|VOLTAGE)\s*[:=]?\s*(\d{3})\b`)
	capAloneClass = regexp.MustCompile(`\bCL[.:]?\s*([A-D])\b|(?:^|[\s\x01])(B)(?:[\s\x01]|$)`)

	capRange   = regexp.MustCompile(`\b(\d{1,4})\s*(?:UF)?\s*(?:-|TO)\s*(\d{1,4})\s*UF\b`)
	capTimes   = regexp.MustCompile(`\b2\s*X\s*(\d{1,3}(?:\.\d{1,3})?)\s*UF\b`)
	capUnits2  = regexp.MustCompile(`\b(\d{1,3}(?:\.\d{1,3})?)\s*UF\s*(\+|//?|AND|&|,)\s*(?:A |ONE )?(\d{1,3}(?:\.\d{1,3})?)\s*UF\b`)
	capUnits1  = regexp.MustCompile(`\b(\d{1,3}(?:\.\d{1,3})?)\s*([+/&]|AND)\s*(\d{1,3}(?:\.\d{1,3})?)\s*UF\b`)
	capBareSum = regexp.MustCompile(`\b(\d{1,2}(?:\.\d{1,2})?)\s*\+\s*(\d{1,2}(?:\.\d{1,2})?)(?:\s|$)`)
	capUF      = regexp.MustCompile(`\b(\d{1,5}(?:\.\d{1,6})?)\s*UF\b`)
	capNF      = regexp.MustCompile(`\b(\d{1,7}(?:\.\d{1,3})?)\s*NF?\b`)
	capPF      = regexp.MustCompile(`\b(\d{1,8})\s*PF\b`)
	capRKM     = regexp.MustCompile(`\b(\d{1,3})([UN])(\d{1,3})?\b`)
	capRKMZero = regexp.MustCompile(`\bU(\d{1,3})\b`)
	capLabelUF = regexp.MustCompile(`\bUF\s*[:=]?\s*(\d{1,3}(?:\.\d{1,3})?)\b`)
	capBareV   = regexp.MustCompile(`\b(370|400|415|420|425|440|450|470|475|500)\b`)

	capFiller = regexp.MustCompile(`\b(?:CAPACITORS?|CAPS?|CONDENSER|MOTOR|TYPE|RATED|RATING|METAL(?:LISED|LIZED)?|FILM|PLASTIC|CAN|ROUND|OVAL|SINGLE|VAC|V|AC|UF|MM|WITH|AND|A|AN|THE|ONE|OF|EACH|BOTH|TERMINALS?|TABS?|IN|AT|IS|X|CL|ONLY)\b|[±"~°=|]`)
)

// capPerUnit finds a voltage on each of two values: 35UF 450V + 5UF 400V.
var capPerUnit = regexp.MustCompile(`UF\s*(\d{2,4})\s*V(?:AC)?\b.*?\d\s*UF\s*(\d{2,4})\s*V(?:AC)?\b`)
