import { gapShapes, scoreForecast, simulateDay } from '../support/planner-forecast-days'
import { forecastRunningOrder } from '@/lib/planner/forecast/forecast-running-order'

/** Prints how honest the forecast's interval is and how far its middle is off, on simulated days. */
const days = Number(process.argv[2] ?? 60)
const looks = 6
console.log(`Forecast of the running order: ${days} simulated days per shape, ${looks} looks a day`)
let heats = 0
let covered = 0
let error = 0
let shiftError = 0
for (const shape of gapShapes) {
  const s = scoreForecast(
    shape,
    Array.from({ length: days }, (_, i) => i * 13 + 1),
    looks,
  )
  heats += s.heats
  covered += s.covered
  error += s.error
  shiftError += s.shiftError
  console.log(
    `  ${shape.padEnd(10)} 90% interval covers ${((100 * s.covered) / s.heats).toFixed(1)}%   ` +
      `mean error ${(s.error / s.heats).toFixed(0)} s, constant shift ${(s.shiftError / s.heats).toFixed(0)} s ` +
      `(ratio ${(s.error / s.shiftError).toFixed(2)})   mean interval ${(s.width / s.heats / 60).toFixed(1)} min   ${s.heats} heats`,
  )
}
console.log(
  `  all        90% interval covers ${((100 * covered) / heats).toFixed(1)}%   ` +
    `mean error ${(error / heats).toFixed(0)} s, constant shift ${(shiftError / heats).toFixed(0)} s (ratio ${(error / shiftError).toFixed(2)})`,
)
const day = simulateDay(5, 'lognormal')
const now = (day.firstStart + day.lastStart) / 2
const seen = day.at(now)
const begin = performance.now()
for (let i = 0; i < 20; i++) forecastRunningOrder({ heats: seen, now })
console.log(
  `  one forecast of ${seen.length} heats at midday: ${((performance.now() - begin) / 20).toFixed(1)} ms`,
)
