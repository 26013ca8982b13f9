import { ballastFor, isAbsent } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

/** Where ballast usually goes: along the car as a share of the wheelbase from the rear axle, across as a share of the track from the right. */
const PLACES = [
  { name: 'Front axle', forward: 1, leftward: 0.5 },
  { name: 'Left side', forward: 0.5, leftward: 0.8 },
  { name: 'Right side', forward: 0.5, leftward: 0.2 },
  { name: 'Rear axle', forward: 0, leftward: 0.5 },
] as const

export const ballastTool: Calculator = {
  id: 'ballast',
  title: 'Ballast',
  about: 'The least ballast that reaches the shares you want and a minimum weight, over four usual places.',
  inputs: [
    input('massG', 'Weight now', 'g', 500, 5000, 1500),
    input('frontPercent', 'Front now', '%', 10, 90, 38),
    input('leftPercent', 'Left now', '%', 10, 90, 50),
    input('wantedFront', 'Front target', '%', 10, 90, 40),
    input('wantedLeft', 'Left target', '%', 10, 90, 50),
    input('tolerance', 'Within', '%', 0, 10, 0),
    input('minimumG', 'Minimum weight', 'g', 500, 5000, 1530),
    input('mostG', 'Most in one place', 'g', 0, 500, 100),
  ],
  compute: (v) => {
    const places = PLACES.map((p) => ({ ...p, maxKg: (v['mostG'] ?? 0) / 1000 }))
    const plan = ballastFor(
      {
        massKg: (v['massG'] ?? 0) / 1000,
        frontPercent: v['frontPercent'] ?? 50,
        leftPercent: v['leftPercent'] ?? 50,
      },
      places,
      {
        frontPercent: v['wantedFront'] ?? 50,
        leftPercent: v['wantedLeft'] ?? 50,
        tolerancePercent: v['tolerance'] ?? 0,
        minimumKg: (v['minimumG'] ?? 0) / 1000,
      },
    )
    if (isAbsent(plan)) return `${plan.reason}.`
    return [
      ...places.map((p, i) => row(`at ${p.name}`, p.name, (plan.massesKg[i] ?? 0) * 1000, 'g', 1)),
      row('added', 'Added', plan.addedKg * 1000, 'g', 1),
      row('total', 'New weight', plan.totalKg * 1000, 'g', 0),
      row('front', 'New front', plan.frontPercent, '%', 2),
      row('left', 'New left', plan.leftPercent, '%', 2),
    ]
  },
  example: {
    text: '1500 g with 38% in front, 40% wanted: 50 g on the front axle make 1550 g, since (570 + 50) / 1550 = 40%; left stays 50%.',
    source: 'Arithmetic; the least mass by linear programming.',
  },
  note: 'Fix ballast with screws, clear of the pack and of moving parts: tape alone lets go in a crash.',
}
