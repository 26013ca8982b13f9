import { lapTrace } from '@/lib/card/track/lap-trace'
import { learnedError } from '@/lib/card/projections/learned-error'
import { valuesOf } from '@/lib/card/projections/projections-car'
import { suggest } from '@/lib/suggestions/suggest'
import { trackLap } from '@/lib/card/track/track-lap'
import { compareCards, gearingSweep, turboDelaySweep } from '@/lib/card/projections/what-if'
import { never } from '@/lib/core/assert'
import type { WhatIfQuestion, WhatIfReply } from './what-if-messages'

function answerTo(q: WhatIfQuestion) {
  switch (q.kind) {
    case 'compare':
      return compareCards(q.today, q.trial)
    case 'gearing':
      return gearingSweep(q.basis, q.question)
    case 'turbo':
      return turboDelaySweep(q.basis, q.delays)
    case 'learned':
      return { learned: learnedError(q.basis, valuesOf(q.basis)).learned }
    case 'suggest':
      return suggest(q.basis, q.changes)
    case 'trace': {
      const trace = lapTrace(q.basis)
      return typeof trace === 'string' ? trace : { trace }
    }
    case 'track':
      return trackLap(q.basis, q.measuredLapS)
    default:
      return never(q)
  }
}

self.onmessage = ({ data: { n, question } }: MessageEvent<{ n: number; question: WhatIfQuestion }>) => {
  const reply = (r: WhatIfReply) => self.postMessage(r)
  try {
    reply({ n, ok: true, answer: answerTo(question) })
  } catch (error) {
    reply({ n, ok: false, message: error instanceof Error ? error.message : String(error) })
  }
}
