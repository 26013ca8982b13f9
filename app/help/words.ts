/** The board's own words, as every screen uses them. */
export const WORDS: readonly { word: string; meaning: string }[] = [
  { word: 'assigned', meaning: 'The value that the setup card asks for.' },
  { word: 'fitted', meaning: 'The value that somebody says is in the car now, with who and when.' },
  {
    word: 'read back',
    meaning:
      'A fitted speed-control value, seen again after a power cycle. Only that proves that it was saved and not just dialed in.',
  },
  {
    word: 'loose end',
    meaning:
      'Anything that would stop or hurt a coming run. Found by rule, sorted by how soon it bites, each with the one tap that closes it.',
  },
  {
    word: 'follow-up',
    meaning: 'A check that a change calls for by itself: the pinion was changed, so the mesh wants setting.',
  },
  {
    word: 'accept',
    meaning:
      'The driver’s word before staging. It covers exactly what was accepted; any later change voids it, visibly, on every phone.',
  },
  { word: 'run record', meaning: 'What a car really ran with, frozen at the start, plus what came of it.' },
  {
    word: 'kit',
    meaning: 'The team’s cars, motors, speed controls, packs, chargers and tires, with their history.',
  },
  { word: 'crew', meaning: 'The people, their roles and their phones.' },
  {
    word: 'what-if',
    meaning: 'A trial change with its projected consequence beside today’s. It changes nothing by itself.',
  },
  { word: 'charge plan', meaning: 'Which pack for which run, on which charger channel, from when to when.' },
]

/** The six facts of a run, in their order. */
export const FACT_MEANINGS = [
  { fact: 'assigned', meaning: 'The card asks for at least a pinion and a spur.' },
  { fact: 'fitted', meaning: 'Everything assigned is in the car; speed-control values are read back.' },
  { fact: 'powered', meaning: 'The planned pack is in the car, at a legal voltage.' },
  { fact: 'shod', meaning: 'The planned tires are on the car.' },
  { fact: 'checked', meaning: 'Lists and follow-ups are signed.' },
  { fact: 'accepted', meaning: 'The driver’s accept stands.' },
] as const

/** What each role may do; the server holds it, whatever a phone says. */
export const ROLE_MEANINGS = [
  { role: 'manager', may: 'Everything: meetings, entries, rules, people and phones.' },
  {
    role: 'mechanic',
    may: 'Fits, reads back, signs and charges; assigns values, packs and tires; keeps the kit. Cannot accept for a driver.',
  },
  {
    role: 'driver',
    may: 'Assigns values to their own cars, signs their own checks, accepts or sends back, and says how it ran.',
  },
  { role: 'guest', may: 'Watches. Nothing can be changed.' },
] as const
