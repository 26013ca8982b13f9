import { expect, test } from 'vitest'
import { assignValue, CAR_PARAMETERS, fitValue } from '@/lib/board'
import { teamValues } from '@/lib/card'
import { must } from '../../support/must'
import { raceDay } from '../../support/race-day-board'

const parameter = (id: string) => CAR_PARAMETERS.find((p) => p.id === id)!

test('what the team’s cars have or are to have of a value, each once, in its order, without what stands there now', () => {
  const d = raceDay()
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'springFront', value: 420 }))
  must(fitValue(d.m, d.view(), { carId: d.rook, parameterId: 'springFront', value: 380 }))
  must(assignValue(d.m, d.view(), { carId: d.heron, parameterId: 'springFront', value: 460 }))
  must(fitValue(d.m, d.view(), { carId: d.heron, parameterId: 'springFront', value: 380 }))
  expect(teamValues(d.view(), parameter('springFront'), 420)).toEqual([380, 460])
  expect(teamValues(d.view(), parameter('springRear'), null)).toEqual([])
})

test('words are offered as they sort', () => {
  const d = raceDay()
  must(assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pistonFront', value: '2 x 1.7' }))
  must(assignValue(d.m, d.view(), { carId: d.heron, parameterId: 'pistonFront', value: '2 x 1.6' }))
  expect(teamValues(d.view(), parameter('pistonFront'), null)).toEqual(['2 x 1.6', '2 x 1.7'])
})
