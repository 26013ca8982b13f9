/** The tools by what they are about, in the order in which a day asks them; ids of `CALCULATORS` and of the tools with a face of their own. */
export const TOOL_GROUPS = [
  { title: 'Gearing', ids: ['gear-pair', 'gear-pairs', 'same-speed'] },
  { title: 'Packs', ids: ['pack-time', 'charge-time', 'flight'] },
  { title: 'Chassis', ids: ['corner-weights', 'ballast', 'ride-frequency', 'cg-height'] },
  { title: 'Laps and units', ids: ['pace', 'lap-list', 'ab-test', 'units'] },
] as const
