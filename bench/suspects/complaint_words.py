"""The words by which a builder tells of each sort of complaint, as regular expressions in lower case. Pure.

They are words of the trade and of everyday speech, no source; what share of symptoms told in other words they
recognise is measured by `tests/benchmarks/symptoms.py`.
"""

_NOT = (
    r"(?:does ?n[o']?t|doesnt|do ?n[o']?t|is ?n[o']?t|isnt|did ?n[o']?t|will not|won'?t|can ?not|can'?t|never|"
    r"fails? to|refuses? to)"
)
_BODY = r"(?:case|chassis|lid|cover|metal\w*|enclosure|housing|strings?)"
_METAL = rf"(?:{_BODY}|panel|box|frame|heat ?sink|screws?|knobs?|shaft)"
_CELL = r"(?:cells?|lipos?|li-?(?:po|ion)|batter(?:y|ies)|(?:battery )?packs?|18650s?)"
_KNOB = r"(?:pots?|knobs?|faders?|sliders?|turn\w*|controls?|potentiometers?|mov\w+)"
WORDS = {
    "shock": (
        r"touch\w* (?:\w+ ){0,3}(?:bites?|stings?|prickl\w*)|prickl\w*|electrocut\w*|"
        r"tingl\w*|shocks?|shocked|zap(?:s|ped)?|(?:case|chassis|panel|metal) is live|live (?:case|chassis)|"
        r"\brcds?|gfci|rcbo|residual.current|earth leakage|ground fault|"
        r"felt a (?:sting|bite|kick|prick)|(?:finger|hand|arm)s? (?:is|are|went|goes) numb|"
        r"(?:glow|light|lit|charged)\w* [^,;]*\bunplugged|"
        r"(?:insulation|flex|mains lead)\b[^,;]*\b(?:crack|torn|damag|worn)\w*|"
        r"earth (?:wire|lead|tag|conductor|terminal)\b[^,;]*\b(?:off|loose|broken?|missing|not connected|open)|"
        r"(?:bit|bites|stung|stings|kicked|belted) (?:me|my)\b|jolts?\b|a (?:belt|kick|bite) (?:off|from)\b|"
        rf"(?:volts|voltage)(?: ac| dc)? on (?:the |my )?(?:\w+ )?{_BODY}\b|"
        rf"{_METAL}\b[^,;]* (?:is|are|feels?) live\b|hair (?:stands|rises)|"
        rf"(?:[3-9]\d|\d{{3,4}}) ?v(?:olts?)?(?: ac| dc)? on (?:the |my )?(?:\w+ )?{_METAL}\b"
    ),
    "smoke": (
        rf"{_CELL}\b[^,;]*\b(?:hiss|swell|swoll|puff|bloat|balloon|bulg|leak|vent|fizz)\w*|swollen|puffed up|"
        rf"bloated|(?:hissing|swelling|leaking|puffy) {_CELL}|ph(?:u|oo)t\b|fizz\w*|"
        r"(?:was|saw|with|made) a (?:\w+ )?(?:flash|spark)\b|got wet|"
        r"(?:water|rain|coffee|beer) (?:in|got into|ran|over)|"
        r"in(?:to)? the (?:bath|water|sink|rain)\b|leak\w* (?:out|fluid|liquid|acid)|"
        r"(?:liquid|fluid|goo|acid|electrolyte)\b[^,;]*\b(?:leak|drip|ooz|out of|com)\w*|discolou?r\w*|"
        r"(?:turn(?:s|ed)|gone|went) (?:brown|black)|brown(?:ed)? (?:under|around|patch|mark|board|spot)|"
        r"crack(?:ing|l\w*) (?:\w+ )?(?:from|in|inside|at) (?:the )?"
        r"(?:transformer|mains|choke|plug|power supply)|"
        r"bangs?\b|(?:loud |big )?(?:pop|puff|crack) and a\b|vapou?rs?\b|fire ?crackers?|"
        r"(?:a|the|white|grey|blue|little|small|big) (?:\w+ )?cloud\b(?! of dust)|"
        r"\bpopped\b(?! out)|black mark|blackened|(?:burn|scorch) marks?|black spot|charring|flash of light|"
        r"smok\w*|smell\w*|stinks?|stench|burn(?:s|t|ed|ing)?|scorch\w*|charred|flames?|(?:on|caught) fire|"
        r"sparks?|sparking|arcs|arcing|arced|explod\w*|exploded|blew up|blown up|melt\w*|bulg\w*|went bang|"
        r"loud bang|singed|fumes"
    ),
    "hot": (
        r"hotter\b|(?:plug|wires?|cables?|cord|flex|fuse\w*|screws?|terminals?|[rcqudlt]\d+)\b[^,;]* "
        rf"(?:is|are|gets?|feels?) (?:\w+ )?warm\b|warm to (?:the )?touch|{_CELL}\b[^,;]*\b4[.,][3-9]\d* ?v|"
        rf"{_CELL}\b[^,;]*\b(?:is|are|gets?|runs?|feels?|becom\w+|turns?|goes|getting)\b[^,;]*\b(?:warm|hot)\b|"
        r"(?:this|that|so) hot\b|could (?:fry|cook)|cooks\b|hot as|hot spot|hot\w* than it should|"
        r"boil\w*|roast\w*|toast\w*|fry(?:ing)? (?:itself|an egg)|heat(?:s|ing)? up|like an oven|blister\w*|"
        r"(?:can(?:no|')t|cannot|unable to) (?:keep|hold|leave|rest) (?:my |a )?(?:finger|hand|thumb)|burn\w* "
        r"(?:my|a) (?:finger|hand|thumb)|painful to "
        r"touch|(?:gets?|runs?|is|are|becom\w+|getting|running|far|turns?|very|really|burning|red|"
        r"scalding|finger) (?:\w+ )?hot\b|(?:too|very) hot|hot (?:to (?:the )?touch|after|within|ic|chip|"
        r"resistor|"
        r"transistor|regulator)|\bhot$|overheat\w*|heats up|too warm|very warm|gets warm|cooking|sizzl\w*|"
        r"red.?plat\w*|glows? (?:cherry )?red|scald\w*"
    ),
    "short": (
        r"(?:loud)?speakers?\b[^,;]* (?:has|have|gets?|with) \d[\d.]* ?v|blew\b(?! up)|"
        r"f\d+ (?:popped|went|goes|is (?:blown|open))|"
        r"(?:limiter|dim.?bulb|series (?:bulb|lamp)|bulb tester)\b[^,;]*\b(?:bright|full|glow|lit)\w*|"
        r"(?:[2-9]\d|\d{3}) ?v(?:olts?)?(?: of)?(?: dc)? (?:at|on) (?:the |my |its )?(?:\w+ )?outputs?\b|"
        r"(?:dc|\d[\d.]* ?v(?:olts?)?(?: dc)?) (?:on|at|across|to) (?:the |my )?(?:loud)?speakers?|"
        r"cone (?:is |sits |stays )?(?:pushed|pulled|driven) (?:out|in)\b|"
        r"(?:takes|pulls|draws|wants|sucks) (?:\w+ ){0,3}(?:amps?|amperes?)\b|folds? ?back|"
        r"(?:\w*meter|needle|pointer)\b[^,;]*\b(?:(?:its|the) (?:end|stop)\b|slams?|hard over|off the end)|"
        r"(?:\w*meter|needle|pointer|current)\b[^,;]*\b(?:end.?stop|pegs?\b|pegged|pinned|full.?scale)|"
        r"(?<!midi )(?<!MIDI )(?-i:\bC\.?C\b\.?)|\bcc (?:led|light|lamp|mode|indicator|limit)|"
        r"(?:shows?|goes (?:in)?to|into|in|drops into|says|stays in) c\.?c\b|"
        r"current (?:reading|draw|drawn|consumption)?[^,;]*(?:times|twice|double|more than)|heavy current|"
        r"overcurrent|"
        r"off the scale|beeps? and|(?:supply|psu|adapter)\b[^,;]*\blimits|over.?load(?:ed)? (?:light|lamp|"
        r"led)|cut.?out (?:opens|goes)|"
        r"limit (?:\w+ )?(?:lamp|led|light)|(?:pulls|takes|eats|uses|wants) (?:\w+ ){0,2}\d+ "
        r"?m?a\b|(?:adapter|adaptor|charger|supply|psu|brick) (?:\w+ "
        r")?(?:shuts|cuts|switches|turns)|fuses?\b|blows|breaker|trips|tripped|tripping|polyfuse|"
        r"(?:current|supply|psu) ?(?:is |goes |in |into )*limit\w*|limit led|into limit|(?:supply|"
        r"psu) (?:shuts|shut|cuts) (?:down|off)|"
        r"shuts (?:itself )?down|hiccup\w*|constant.current|over.?current|(?:too|so) much current|"
        r"too many (?:ma|milliamps?|amps?)|draws (?:far |way )?(?:too|more|\d+)|current (?:is |far |way |"
        r"much )*(?:too )?high|high current|excess\w* current|shorts?[ -]circuit\w*|shorted|dead short|"
        r"there is a short|a short (?:on|at|between|to)"
    ),
    "rail": (
        r"only (?:get|got|getting|see|read|measure|have|had|find)\w* (?:\w+ )?\d[\d.,]* ?(?:m?v|volts?)\b|"
        r"(?:get|got|getting|see|read|measure|find)\w* (?:only|just|barely|merely|no more than) (?:\w+ )?"
        r"\d[\d.,]* ?(?:m?v|volts?)\b|all i (?:get|see|read|measure) is \d[\d.,]* ?(?:m?v|volts?)\b|"
        r"(?:regulator|7[89][lm]?\d\d)\b[^,;]* (?:is|at|reads|shows) \d[\d.,]* ?(?:v|volts?)\b|"
        r"dragged|pulled to|no (?:voltage|volts?) (?:after|behind|past|beyond|out of)|(?:rail|"
        r"supply) (?:reads|is|sits at|shows) (?:\w+ )?(?:0|zero|nearly|almost|half|under|below)|"
        r"(?:regulator|7\d[lm]?\d\d|lm\d{3})\w*\b[^,;]*\b(?:only|just|barely) |(?:gives|puts out|"
        r"delivers) (?:only|just|barely|nothing)|"
        r"only \d[\d.]* ?v(?:olts?)?\b|too few volts|(?:volts|voltage)[^,;]* (?:vanish\w*|disappear\w*)|"
        r"(?:rails?|supply|supplies|\bv|volts?|voltage|regulator|psu)\b[^,;]*\b(?:low|lower|sags?|sagging|"
        r"collaps\w*|drop(?:s|ped|ping)?|droop\w*|dips?|pulled down|falls?|down to|missing|gone|dead|"
        r"only \d[\d.]*|not there|absent)\b|(?:nothing|no (?:voltage|volts?|power|\d+ ?v)|missing|low) (?:on|"
        r"at|from) (?:the |a )?[^,;]*(?:rail|regulator|supply)|missing (?:\w+ )?rail|low (?:rail|supply|"
        r"voltage)|brown.?out|no [+-]\d+ ?v\b"
    ),
    "overvoltage": (
        r"(?:gives|puts out|delivers|reads) \d[\d.]* ?v\b[^;]*(?:too high|too much|more than|instead of)|"
        r"(?:rail|supply|regulator)\b[^;]*\b(?:higher than|too high|above what)|"
        r"(?:rails?|supply|regulator|\bv|volts|voltage)\b[^,;]*\b(?:too high|higher than|above)|over.?voltage|"
        r"too many volts"
    ),
    "reversed": (
        r"(?:the )?wrong way (?:round|around)|back to front|inside out|"
        r"backwards?|revers(?:e|ed) (?:polarity|supply|power|battery)|(?:polarity|rails?|supply|power|battery|"
        r"cable|plug\w*|connected|header) [^,;]*(?:wrong way|revers\w+|swapped|twisted|upside|one (?:row|"
        r"pin) off)|(?:swapped|twisted|offset) (?:the )?(?:rails|cable|supply|plug)"
    ),
    "microphonic": (
        r"microphonic\w*|pings?\b|(?:rings|bells?|clangs?) when|tap\w* (?:on )?(?:the |a )?(?:valve|tube)"
    ),
    "heater": r"heaters?|filaments?|(?:valve|tube)s?\b[^,;]*(?:dark|glow|lights?|cold)|no glow",
    "stops": (
        r"(?:works?|worked|runs?|ran|plays?|played|fine|ok|okay|good|starts?|started|starting)\b.*\b(?:then|"
        r"until|but|for|before)\b.*\b(?:stop\w*|dies|died|dead|fad\w+|quits?|silent|fails?|goes off|cuts|"
        r"nothing|gives up)|(?:stops?|dies|fails?|quits?|fades?|gives up|cuts off|goes (?:dead|silent|"
        r"quiet)) (?:\w+ ){0,2}(?:after|once|when (?:it |the \w+ )?(?:is |gets )?(?:warm|hot))"
    ),
    "drift": (
        r"settles?\b|detun\w* (?:when|while|as|after|over)|(?:when|while) the (?:heating|sun|window|door|"
        r"room)|moves with the (?:room|weather)|"
        r"drift\w*|wanders?|wandering|creeps?|temperature|(?:goes|going|turns|slides|gets) [^,;]*(?:warm|"
        r"minutes|over time)|"
        rf"(?:as|when|while|until|after|once) (?:it |the \w+ )?(?:\w+ )?(?:warms?|heats?|cools?|warmed)\b|"
        rf"warm(?:s|ing)?.?up|{_NOT} (?:stay|hold|keep)\w*"
        r" (?:\w+ )?(?:in )?(?:tune|tuning|pitch|frequency|steady|setting)|never settles|changes (?:with|"
        r"by itself|on its own|over time)|(?:unstable|unsteady) (?:pitch|frequency|tuning|note)|(?:pitch|"
        r"frequency|tuning)\b[^,;]*\b(?:unstable|unsteady|moves|slides|sags)"
    ),
    "scratchy": (
        rf"(?:crackl|scratch|rustl|nois|jump)\w*\b[^,;]*\b{_KNOB}|{_KNOB}\b[^,;]*(?:crackl|scratch|rustl|nois|"
        rf"jumps)\w*"
    ),
    "button": (
        r"(?:one|a single|each|every) (?:push|tap|click)\b|registers? (?:as )?(?:several|many|more|twice)|"
        r"(?:each|every|one|a single) press\b|"
        rf"buttons?\b|(?:double|twice|two)\b[^,;]*(?:trigger|press|count|step|fire|click)\w*|(?:trigger|press|"
        rf"count|step|fire|click|play)\w*\b[^,;]*\b(?:twice|two at|double)|bounc\w*|encoder|foot ?switch\w*|"
        rf"key (?:sticks|repeats)|switch {_NOT}"
    ),
    "relay": r"relays?\b|(?:clicks|ticks over|pulls in) but|coil (?:pulls|clicks)",
    "display": (
        r"segments?|displays?\b|digits?\b|\blcd|oled|\bscreen\b|backlight|pixels?|(?:wrong|garbled|"
        r"strange) characters?|digital readout|dot matrix|blocks instead"
    ),
    "controller": (
        r"\bmcu|micro.?controllers?|processors?|\bcpu|firmware|sketch|boot\w*|\busb|upload\w*|flash(?:ing|"
        r"ed)? (?:it |the \w+ )?(?:fails?|fim)|program\w*|crash\w*|freezes?|hangs\b|resets? (?:itself|again|"
        r"over|all)|keeps resetting|watchdog|serial port"
    ),
    "clock": (
        r"counts? [^,;]*(?:for each|per second|too)|\bticks? (?:too|twice)|off by [^,;]*(?:second|minute)|"
        r"(?:clock|tempo|time\w*|beats?|rate|metronome|watch|seconds|bpm|sequence\w*|\blfo|speed|counter|"
        r"ticks?)\b[^,;]*\b(?:fast\w*|slow\w*|quick\w*|gains?|loses?|early|late|ahead|behind|wrong)\b|"
        r"runs? (?:\w+ )?(?:fast|slow|ahead|behind|quick)|too (?:fast|slow|quick)\b|(?:gains|"
        r"loses) [^,;]*(?:second|minute)|wrong (?:tempo|speed|rate)"
    ),
    "channel": (
        r"(?:one|left|right|other|second|single) (?:\w+ )?(?:channel|ear|speaker|half)|(?:left|right|other) "
        r"(?:\w+ )?side|channels?\b|\bleft\b|\bright\b(?! (?:up|away|now|at|after|from|before|in|on|down|"
        r"value|way))|only (?:one|mono)|stereo|\bone of the "
        r"(?:two|outputs?|channels?)"
    ),
    "oscillation": (
        r"(?<!no )oscillat(?:es|ing|ion)|(?<!no )whistl(?:es|ing)|squeal\w*|squeak\w*|howl\w*|shriek\w*|"
        r"screech\w*|motor.?boat\w*|putt\w*|parasitic|self.?oscill\w*|feedback|sings\b|high.pitched|ultrasonic|"
        r"\brf\b burst|chirp\w*"
    ),
    "radio": (
        r"stations?|recept\w*|receiv\w*|broadcast\w*|antenna|aerial|picks? up|\bdeaf\b|short.?wave|"
        r"medium.?wave|sensitiv\w*|selectiv\w*|tuning (?:dial|range)|tun(?:es|ing) (?:in|across)|"
        r"the (?:whole )?band\b"
    ),
    "hum": (
        r"hums?|humming|hummed|buzz\w*|mains (?:noise|hum)|\b(?:50|60|100|120) ?hz|(?:ground|earth).?loop|"
        r"ripple"
    ),
    "intermittent": (
        r"intermittent\w*|comes? and goes?|cut(?:s|ting)? (?:in and )?out|now and (?:then|again)|sometimes|"
        r"on and off|off and on|flicker\w*|"
        r"drop.?outs?|drops out|(?:when|if|whenever|unless|until|only) (?:\w+ ){0,3}(?:press|touch|tap|"
        r"wiggl|mov|knock|bend|push|hit|flex|"
        r"shak|jiggl|twist|squeez|wobbl)\w*|random\w*|erratic\w*|occasional\w*|every so often|unreliabl\w*|"
        r"temperamental|loose (?:contact|connection)|works one day"
    ),
    "distortion": (
        r"distort\w*|clip(?:s|ping|ped)|fuzz\w*|harsh\w*|gritty|break(?:s|ing) up|rasp\w*|mushy|gated|"
        r"sputter\w*|splutter\w*|starved|overdriv\w*|garbled|crossover|\brough\b|torn|dirty sound|farts?|farty|"
        r"squashed|crunch\w*"
    ),
    "symmetry": (
        r"asymmetr\w*|symmetr\w*|lop.?sided|un(?:even|equal) (?:halves|slopes|tips|wave\w*)|duty|skew\w*|"
        r"kinks?\b|(?:triangle|sine|wave\w*)\b[^,;]*(?:bent|ugly|spik\w+|tips|pointed|crooked|leans?|"
        r"one.sided)"
    ),
    "bias": r"bias(?:ed|ing)?\b|idle current|quiescent|standing current|half (?:the )?supply",
    "offset": (
        r"(?:cv|control voltage|gate)\b[^,;]*(?:leaks?|comes through|is heard)|each time (?:it|the \w+) opens|"
        r"\bdc\b|direct (?:volt\w*|current)|offsets?|thump\w*|thud\w*|not (?:at )?zero|sits at|feed.?through|"
        r"bleeds?|bleeding|clicks? when (?:it )?open\w*|pops? when|leaks through"
    ),
    "battery": (
        r"(?:eats|empties|flattens|gets through) [^,;]*(?:block|9 ?v|nine volt|aa)|"
        r"batter(?:y|ies)|\bcells?\b|run.?time|drain\w*|charg(?:e|es|ing|er)\b"
    ),
    "pitch": (
        r"out of tune|detuned?|mistuned|\b(?:flat|sharp)\b|octaves?|track(?:s|ing)\b|scal(?:e|ing)\b|"
        r"intonation|v ?/ ?oct|volts? per|semitones?|cents\b|steps? (?:is |are )?(?:too |a bit )?(?:small|"
        r"large|big|wide|narrow)|(?:wrong|off) (?:pitch|note|frequency|key)|(?:pitch|frequency|note|"
        r"tuning) (?:is |are )?(?:\w+ )?(?:wrong|off|too|high|low)|intervals?|transpos\w*"
    ),
    "setting": (
        r"trim(?:s|med|ming|mers?|pots?)?\b|adjust\w*|calibrat\w*|out of (?:turns|range|adjustment)|"
        r"at its (?:end|stop)|converge\w*|align\w*"
    ),
    "loud": (
        r"(?:level|volume|output|gain)\b[^,;]*(?:much|far|way) too (?:high|big|hot)|(?:twice|double|"
        r"ten times) (?:as loud|the level)|"
        r"too loud|too much (?:gain|level|volume|output)|deafening|(?:level|volume|output|gain) (?:is |far |"
        r"way )*too (?:high|big|much|hot)|overload\w*|"
        rf"{_NOT} (?:turn|go|get) down|blasts?\b"
    ),
    "quiet": (
        r"(?:level|signal|output|volume|sound)\b[^,;]*(?:half of|a third of|a tenth of|below what|less than)|"
        r"too (?:quiet|soft|low|weak)\b|(?:low|poor|little|less|lost|weak|lacks?) (?:\w+ )?(?:volume|level|"
        r"output|gain|signal|sound)|\bweak\w*|\bfaint\w*|barely|hardly|not loud|(?:volume|level|output|gain|"
        r"sound) (?:is |very |too |much )*(?:low|small|down|weak|poor|quiet)|half (?:the|as) (?:level|volume|"
        r"loud)|whisper\w*|very quiet"
    ),
    "noise": r"hiss\w*|nois\w*|crackl\w*|popping|static\b|frying|rumbl\w*|\bhash\b|whine\w*|whining|scratchy",
    "tone": (
        r"(?:treble|bass|highs?|lows?|top end) (?:is|are|has|have) (?:\w+ )?(?:gone|missing|weak|lost)|"
        r"\bdull\b|muffl\w*|\bthin\b|tinny|boomy|no (?:bass|treble|highs|lows|top)|(?:lacks?|missing|little|"
        r"not enough|too much) (?:bass|treble|highs|lows)|shrill|frequency response|sounds? (?:dark|bright|"
        r"hollow)|nasal"
    ),
    "stuck": (
        rf"always (?:on|open|high|lit|running)|never (?:stops|closes|ends|switches off)|keeps (?:running|"
        rf"sounding|going|droning)|{_NOT} (?:switch|turn|shut|close|stop|"
        r"go off)(?:es|s)? ?(?:off)?$|drones?\b|stuck\b|latch\w*|permanently|hanging note"
    ),
    "data": r"\bbytes?\b|(?:serial|data) (?:bus|line)|\bmidi\b|messages?|\bi2c\b|\bspi\b|\bdata\b|sync cable",
    "lamp": (
        rf"\bleds?(?:\d+)?\b|\blamps?\b|indicators?|(?:stays|is|remains|all) (?:\w+ )?dark|not lit|"
        rf"{_NOT} (?:light|shine|flash|blink|glow)\w*|\bdim\b|pilot light|"
        r"light (?:stays|is) (?:off|out)"
    ),
    "mechanical": (
        r"wobbl\w*|crooked|does not fit|will not go in|(?:knob|jack|nut|pot|socket|panel) (?:is |sits |"
        r"turns )*(?:loose|tight|stiff|rubs?|crooked)|binds"
    ),
    "silent": (
        r"(?:nothing|cannot|can't|not) (?:can |to )?be heard|hear nothing|heard nothing|"
        r"no sign of (?:a )?(?:signal|sound)|"
        r"not a (?:peep|sound|thing|note|squeak)|mute\b|gone quiet|nothing audible|soundless|"
        r"silen(?:t|ce)|(?:no|without|not a|zero|lost) (?:\w+ )?(?:sound|audio|signal|output|tone|note|"
        r"oscillation|saw|whistle|beep|out\b)|\bmuted?|no output|(?:nothing|no \w+) (?:comes? (?:out|through)|"
        r"at the output|to hear|from|at|in|out of|reaches)|can(?:not|'t) hear|inaudible|"
        rf"(?:stays|remains|is|all) (?:\w+ )?quiet\b|{_NOT} (?:make|produce|give|play|sound|oscillate|tick)\w*"
    ),
    "no effect": (
        rf"(?:does|do|did|doing) nothing|nothing (?:happens|changes|moves)|no (?:effect|difference|influence|"
        rf"response|reaction|change|control)|no \w+ (?:effect|response)|{_NOT} (?:\w+ )?(?:respond|react|work|"
        rf"change|do|sync|trigger|open|close|sweep|move|affect|alter|register|reset|follow|modulat|let|"
        rf"pass)\w*|ignor\w*|unresponsive|"
        r"makes no|(?:changes?|alters?|affects?|influences?) nothing|without (?:any )?(?:effect|result)|"
        r"remains? the same|stays? the same|inoperative|has no"
    ),
    "dead": (
        rf"\bdead\b|lifeless|{_NOT} (?:turn|switch|power|come|start|wake|fire)\w*(?: (?:on|up|alive))?|"
        rf"no (?:power|sign|life)|nothing (?:works|at all|lights)|^nothing\b|"
        r"no function|completely off"
    ),
}
"""Those that can hurt come first; then the narrower ones before the wider ones."""
