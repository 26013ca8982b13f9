import { lapTrace } from '@/lib/card/track/lap-trace'
import { learnedError } from '@/lib/card/projections/learned-error'
import { valuesOf } from '@/lib/card/projections/projections-car'
import { suggest } from '@/lib/suggestions/suggest'
import { trackLap } from '@/lib/card/track/track-lap'
import { compareCards, gearingSweep, turboDelaySweep } from '@/lib/card/projections/what-if'
import { answerQuestions } from '@/app/threads/answer-questions'
import type { WhatIfTasks } from './what-if-messages'

/** The comparison goes before the sweeps. */
answerQuestions<WhatIfTasks>({
  compare: ({ today, trial }) => compareCards(today, trial),
  trace: (basis) => {
    const trace = lapTrace(basis)
    return typeof trace === 'string' ? trace : { trace }
  },
  learned: (basis) => ({ learned: learnedError(basis, valuesOf(basis)).learned }),
  suggest: ({ basis, changes }) => suggest(basis, changes),
  track: ({ basis, measuredLapS }) => trackLap(basis, measuredLapS),
  turbo: ({ basis, delays }) => turboDelaySweep(basis, delays),
  gearing: ({ basis, sweep }) => gearingSweep(basis, sweep),
})
