package marking

import "regexp"

// Fragments of the belt grammar. profile has four groups: E before, letter
// after P, letter alone, E after. The letter M alone is left to toothed belts
// (5M) and studs; a ribbed M profile is written PM.
const (
	profile = `(E)?\s?(?:P([HJKLM])|([HJKL]))(E)?`
	// profileM allows M alone too, where a length stands right before it.
	profileM = `(E)?\s?(?:P([HJKLM])|([HJKLM]))(E)?`
	lengthMM = `(\d{3,4}(?:\.\d{1,3})?)\s*(MM\b)?`
	ribs     = `(\d{1,2})\s*(?:RIBS?\b|R\b|PK\b)?\s*(EL|E)?\b`
	basis    = `(L[IWDPA])?`
	sections = `(SPZ|SPA|SPB|XPZ|XPA|Z|A|B|C)`
)

var (
	beltArticle    = regexp.MustCompile(`\bA (\d{3,4} ?MM [A-Z ]*BELT)`)
	beltThousands  = regexp.MustCompile(`\b([1-9])\.(\d{3})\b(\s*MM)`)
	beltDamaged    = regexp.MustCompile(`[^\s/+]*[?_#][^\s/+]*`)
	beltUnreadable = regexp.MustCompile(`(?:\b(?:LENGTH|RIBS|PROFILE|WIDTH|MARK(?:ING)?)\b\s*)?(?:IS |ARE )?\b(?:UNREADABLE|ILLEGIBLE|NOT READABLE|CAN'?T READ(?: \w+)?|CANNOT READ(?: \w+)?|WORN(?: OFF| AWAY)?|RUBBED OFF|FADED|UNKNOWN|MISSING)\b`)

	beltStiff    = regexp.MustCompile(`\b(?:NOT|NON|NO|UN)[\s-]?(?:ELASTIC|STRETCH\w*|STRETCHY)\b|\bINELASTIC\b|\bSTIFF(?:\s*CORD)?\b|\b(?:POLYESTER|ARAMID)(?:\s*CORD)?\b`)
	beltElastic  = regexp.MustCompile(`\b(?:ELASTIC(?:ATED)?|ELAST|STRETCH(?:Y|ABLE)?)\b`)
	beltElMark   = regexp.MustCompile(`\b(?:EL|E)\b`)
	beltPlain    = regexp.MustCompile(`\b(?:PLAIN|WRAPPED|UNCOGGED|(?:NOT|NON)[\s-](?:COGGED|NOTCHED))\b`)
	beltCogged   = regexp.MustCompile(`\b(?:RAW[\s-]EDGE[\s-])?(?:COGGED|NOTCHED)\b`)
	beltDouble   = regexp.MustCompile(`\bDOUBLE[\s-]SIDED\b|\bBOTH SIDES\b`)
	beltOneSide  = regexp.MustCompile(`\bSINGLE[\s-]SIDED\b`)
	beltRibbed   = regexp.MustCompile(`\b(?:V[\s-])?(?:MULTI[\s-]?)?RIB(?:BED)?\b`)
	beltVee      = regexp.MustCompile(`\b(?:V|VEE)[\s-]?BELT\b`)
	beltToothed  = regexp.MustCompile(`\bTOOTHED\b|\bTIMING\b|\bSYNCHRONOUS\b`)
	beltFlat     = regexp.MustCompile(`\bFLAT\b`)
	beltFlatSize = regexp.MustCompile(`\b(\d{3,4})\s*X\s*(\d{1,3}(?:\.\d)?)\b\s*(?:MM)?`)
	beltWidth    = regexp.MustCompile(`\b(\d{1,3}(?:\.\d{1,3})?)\s*(?:MM\s*)?WIDE\b|\bWIDTH\s*[:=]?\s*(\d{1,3}(?:\.\d{1,3})?)\b\s*(?:MM\b)?`)
	beltTeeth    = regexp.MustCompile(`\b(\d{2,4})\s*(?:TEETH|TOOTH)\b`)

	toothLenFirst = regexp.MustCompile(`\b(\d{2,4})\s*[-/ ]\s*(2M|3M|5M|8M|14M)(?:\s*[-/ ]?\s*(\d{1,3}(?:\.\d)?))?\b`)
	toothSysFirst = regexp.MustCompile(`\b(2M|3M|5M|8M|14M)\s*[-/ ]?\s*(\d{2,4})(?:\s*[-/ ]\s*(\d{1,3}(?:\.\d)?))?\b`)
	toothT        = regexp.MustCompile(`(?:\b(\d{1,4}(?:\.\d)?)\s*[-/ ]?\s*|\b)(AT|T)\s?(2\.5|5|10|20)\s*[-/ ]\s*(\d{2,4})(?:\s*[-/ ]\s*(\d{1,3}(?:\.\d)?))?\b`)
	toothInch     = regexp.MustCompile(`\b(\d{2,4})\s?(MXL|XL|L|H)\s?(\d{3})\b`)
	// L and H without a width would be ribbed profiles.
	toothInchBare = regexp.MustCompile(`\b(\d{2,4})\s?(MXL|XL)\b()`)

	veeLight   = regexp.MustCompile(`\b([345]L)\s*-?\s*(\d{3,4})\b`)
	veeFirst   = regexp.MustCompile(`\b` + sections + `(X)?\s*-?\s*` + basis + `\s*(\d{2,4}(?:\.\d{1,3})?)\s*(MM\b|IN(?:CH(?:ES)?)?\b|")?\s*-?\s*(?:` + basis + `\b)?`)
	veeLast    = regexp.MustCompile(`\b(\d{3,4}(?:\.\d{1,3})?)\s*(MM\b)?\s*` + basis + `\s*` + sections + `(X)?\b`)
	veeBySize  = regexp.MustCompile(`\b(10|13|17|22)(?:\s*X\s*(?:6|8|11|14))?\s*X\s*(\d{3,4})\s*(?:MM\b)?\s*(?:` + basis + `\b)?`)
	veeSection = regexp.MustCompile(`\bSECTION\s+(SPZ|SPA|SPB|XPZ|XPA|Z|A|B|C|[345]L)\b|\b(SPZ|SPA|SPB|XPZ|XPA|Z|A|B|C|[345]L)\s+SECTION\b`)

	ribFirst    = regexp.MustCompile(`\b(\d{1,2})\s*[-/ ]?\s*` + profile + `\s*[-/ ]?\s*` + lengthMM + `\s*(EL|E)?\b`)
	ribLenFirst = regexp.MustCompile(`\b` + lengthMM + `\s*[-/ ]?\s*` + profileM + `\s*[-/ ]?\s*` + ribs)
	ribLenRibs  = regexp.MustCompile(`\b` + lengthMM + `\s*[-/ ]\s*(\d{1,2})\s*` + profile + `\s*(EL|E)?\b`)
	ribMid      = regexp.MustCompile(`\b` + profile + `\s*[-/ ]?\s*` + lengthMM + `\s*[-/X ]\s*` + ribs)
	ribProfile  = regexp.MustCompile(`\b` + profile + `\s*-?\s*(\d{1,2})\s*(EL|E)?\s*[-/X, ]\s*` + lengthMM + `\s*(EL|E)?\b`)

	looseRibsProfile = regexp.MustCompile(`\b(\d{1,2})\s*` + profile + `\b`)
	looseProfileRibs = regexp.MustCompile(`\b` + profile + `\s?(\d{1,2})\b`)
	looseProfile     = regexp.MustCompile(`\b(E)?(?:P([HJKLM])|PROFILE\s+P?([HJKLM])|([HJK]))(E)?\b`)
	looseRibs        = regexp.MustCompile(`\b(\d{1,2})\s*-?\s*(?:V[\s-])?(?:RIBS?|RIBBED|GROOVES?)\b`)
	looseMM          = regexp.MustCompile(`\b(\d{3,4}(?:\.\d{1,3})?)\s*MM\b(?:\s*` + basis + `\b)?`)
	looseInch        = regexp.MustCompile(`\b(\d{1,3}(?:\.\d{1,3})?)\s*(?:INCH(?:ES)?\b|IN\b|")`)
	looseBasis       = regexp.MustCompile(`\b(\d{3,4})\s*(L[IWDPA])\b`)
	looseLength      = regexp.MustCompile(`\b(\d{3,4})\b`)

	loosened    = regexp.MustCompile(`\b(\d{3,4})(E?P?[HJKL]E?)\b`)
	loosenedToo = regexp.MustCompile(`\b(E?P[HJKLM]E?)(\d{3,4})\b`)
	beltMetres  = regexp.MustCompile(`\b(\d)\.(\d{3})\s*M\b`)
	inchWord    = regexp.MustCompile(`\bINCH(?:ES)?\b|"`)

	beltFiller = regexp.MustCompile(`\b(?:BELTS?|DRIVE|DRUM|MOTOR|DRYER|WASHER|LENGTH|LONG|MM|RIBS?|PROFILE|TYPE|WITH|AND|A|THE|SECTION|WIDE|WIDTH|TEETH|MARK(?:ED)?|IDLER)\b|[±"~°=|]`)
)
