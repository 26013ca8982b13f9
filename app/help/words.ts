/** The board's own words, as every screen uses them. */
export const WORDS: readonly { word: string; meaning: string }[] = [
  { word: 'assigned', meaning: 'The value that the setup card asks for.' },
  { word: 'fitted', meaning: 'The value in the car now, with who fitted it and when.' },
  {
    word: 'read back',
    meaning:
      'A fitted speed control value, checked after a power cycle. That proves it was saved, not just dialed in.',
  },
  {
    word: 'loose end',
    meaning:
      'Anything that would stop or hurt a coming run. The most urgent comes first, each with the one tap that closes it.',
  },
  {
    word: 'follow-up',
    meaning: 'A check that a change calls for: the pinion was changed, so the mesh needs setting.',
  },
  {
    word: 'accept',
    meaning:
      'The driver’s OK before staging. It covers exactly what was accepted; any later change asks for another accept, on every phone.',
  },
  { word: 'run record', meaning: 'What a car really ran with, saved at the start, plus the result.' },
  {
    word: 'kit',
    meaning: 'The team’s cars, motors, speed controls, packs, chargers and tires, with their history.',
  },
  { word: 'crew', meaning: 'The people, their roles and their phones.' },
  {
    word: 'what-if',
    meaning: 'A trial change with what it would do, beside today’s card. It changes nothing on the card.',
  },
  {
    word: 'set aside',
    meaning:
      'A reading after a run that the other runs contradict. It moves no projection until somebody says that it is right.',
  },
  {
    word: 'debrief',
    meaning: 'What came of a run: result, laps, temperatures, tires, charge and the driver’s words.',
  },
  { word: 'charge plan', meaning: 'Which pack for which run, on which charger channel, from when to when.' },
]

/** The six facts of a run, in their order. */
export const FACT_MEANINGS = [
  { fact: 'assigned', meaning: 'The card asks for at least a pinion and a spur.' },
  { fact: 'fitted', meaning: 'Everything assigned is in the car; speed control values are read back.' },
  { fact: 'pack in', meaning: 'The planned pack is in the car, at a legal voltage.' },
  { fact: 'tires on', meaning: 'The planned tires are on the car.' },
  { fact: 'checked', meaning: 'Checklists and follow-ups are signed.' },
  { fact: 'accepted', meaning: 'The driver’s accept is valid.' },
] as const

/** What each role may do; the server holds it, whatever a phone says. */
export const ROLE_MEANINGS = [
  { role: 'manager', may: 'Everything: meetings, entries, rules, people and phones.' },
  {
    role: 'mechanic',
    may: 'Fits, reads back, signs and charges; assigns values, packs and tires; maintains the kit. Cannot accept for a driver.',
  },
  {
    role: 'driver',
    may: 'Assigns values to their own cars, signs their own checks, accepts or sends back, and says how it ran.',
  },
  { role: 'guest', may: 'Watches only. Can’t change anything.' },
] as const
