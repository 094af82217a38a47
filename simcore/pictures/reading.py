"""How to read each picture of a study, in two sentences."""

READING = {
    "pitch_and_travel": "The upper panels show the nose and both ends: a rising travel line is an end that squats, and a pale band means that it lies on a stop. The band below says what becomes of the squat support, and in the last panel tyres slip where tread and ground part.",
    "load_account": "The black line is the change of load, the others are what carries it; what the shocks carry shows as travel, what the links carry does not. Below, the front load in grams, by what takes it away.",
    "comparison": "Each line bears the name of its case at its end; pitch on top, below it the travel of the rear and of the front shocks. A pale band along a line means a stop, a cross a run that ended early.",
    "pitch_and_front_load": "Pitch in degrees on top, the whole load of the front tyres in grams below it. The last panel is the part of that load that links and springs can move at all.",
    "differences": "Every bar is a case less the first case, in the unit of its panel. A bar as short as the grey band, or none, is a difference that nobody sees.",
    "shock_loops": "Force of the shocks over their travel: friction and oil open a loop, a spring alone is a line. Where a line turns steep the shock lies on a stop.",
    "with_and_without": "The same case with its squat support and with the support cancelled on the shock line. What lies between the lines is what squat support does.",
    "curves": "Each dot is a whole run; what is held constant stands in the question. Lines in one panel share its unit and bear their names at their ends.",
    "maps": "Each cell is a whole run, its colour the figure in the bar beside it. The lines join equal values.",
}
