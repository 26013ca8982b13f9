import type { SERVICE_PARTS } from '../kit-collections'

/** What parts need every so often, to start from. Common practice, no source, and marked so; the makers' instructions come first, the list is the team's. */
export const STARTER_SERVICE_RULES: readonly {
  id: string
  name: string
  part: (typeof SERVICE_PARTS)[number]
  afterRuns?: number
  afterHours?: number
}[] = [
  { id: 'service-dampers', name: 'Rebuild the dampers, new oil', part: 'dampers', afterRuns: 20 },
  {
    id: 'service-wheel-bearings',
    name: 'Clean and check the wheel bearings',
    part: 'bearings',
    afterRuns: 25,
  },
  { id: 'service-differentials', name: 'Rebuild the differentials', part: 'differentials', afterRuns: 40 },
  {
    id: 'service-motor-bearings',
    name: 'Oil or change the motor’s bearings',
    part: 'bearings',
    afterHours: 5,
  },
  { id: 'service-rotor', name: 'Check the rotor, or the brushes', part: 'rotor', afterHours: 10 },
]
