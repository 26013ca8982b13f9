import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { carSchema, isAbsent, simulateLap, simulateRace, trackSchema } from '@/lib/setup-math'
import { benchCar, benchTrack, lossyCar, lossyTrack } from '../../support/setup-math-cars'

let folder = ''
const file = (name: string, content: unknown) => {
  const path = join(folder, name)
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content))
  return path
}
const run = (...args: string[]) =>
  new Promise<{ code: number; out: string; err: string }>((resolve) => {
    const child = execFile(
      process.execPath,
      ['--import', 'tsx', 'server/math.ts', ...args],
      (_error, out, err) => {
        resolve({ code: child.exitCode ?? -1, out, err })
      },
    )
  })

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'setup-math-'))
})
afterAll(() => {
  rmSync(folder, { recursive: true, force: true })
})

describe('the command', () => {
  test('lap, straight, race and sweep answer what the library answers', async () => {
    const [car, track] = [file('car.json', benchCar), file('track.json', benchTrack)]
    const [lap, straight, race, sweep] = await Promise.all([
      run('lap', car, track, '--no-trace'),
      run('straight', car, file('straight.json', { lengthM: 10, entrySpeedMps: 0 })),
      run('race', car, track, '120'),
      run('sweep', car, track, file('gears.json', { pinions: [27, 28], spurs: [78] })),
    ])
    expect([lap, straight, race, sweep].map((r) => [r.code, r.err])).toEqual(Array(4).fill([0, '']))
    const own = simulateLap(benchCar, benchTrack, { trace: false })
    expect(JSON.parse(lap.out)).toEqual(JSON.parse(JSON.stringify(own)))
    expect(JSON.parse(straight.out).trace.length).toBeGreaterThan(5)
    const ownRace = simulateRace(benchCar, benchTrack, { raceSeconds: 120 })
    expect(JSON.parse(race.out).laps).toBe(isAbsent(ownRace) ? -1 : ownRace.laps)
    expect(JSON.parse(sweep.out)).toHaveLength(2)
  })

  test('says what is wrong and ends with 2; has no answer and ends with 1', async () => {
    const track = file('t.json', benchTrack)
    const [range, shape, text, missing, command, stuck] = await Promise.all([
      run('lap', file('zero.json', { ...benchCar, pinion: 0 }), track),
      run('lap', file('word.json', { ...benchCar, pinion: 'x', wings: 2 }), track),
      run('lap', file('text.json', '{ no'), track),
      run('lap', join(folder, 'nowhere.json'), track),
      run('fly'),
      run('lap', file('stuck.json', { ...benchCar, grip: 0.01 }), track),
    ])
    expect([range, shape, text, missing, command].map((r) => [r.code, r.out])).toEqual(Array(5).fill([2, '']))
    expect(range.err).toMatch('pinion is 0; must be a whole number 1 to 1000 teeth')
    expect(shape.err).toMatch(/pinion: .*number/)
    expect(shape.err).toMatch(/wings/)
    expect(text.err).toMatch(/is not JSON/)
    expect(missing.err).toMatch(/cannot be read/)
    expect(command.err).toMatch(/fly: not a command here/)
    expect(stuck.code).toBe(1)
    expect(JSON.parse(stuck.out)).toMatchObject({ absent: true })
    expect(stuck.err).toMatch(/no answer/)
  })
})

test('--ledger prints every loss and a sum that is what the pack gave', async () => {
  const { out, code } = await run(
    'lap',
    file('lossy.json', lossyCar),
    file('lossy-track.json', lossyTrack),
    '--ledger',
  )
  expect(code).toBe(0)
  for (const name of ['Wheel slip', 'Cornering', 'Bumps', 'Driveline turning', 'Braking: can'])
    expect(out).toContain(name)
  const joules = (name: string) => Number(new RegExp(`^${name} +(-?[\\d.]+) J`, 'm').exec(out)?.[1])
  expect(Math.abs(joules('Sum') / joules('From the pack') - 1)).toBeLessThan(1e-3)
})

test('the schemas take what the library takes, and hand it on unchanged', () => {
  expect(carSchema.parse(benchCar)).toEqual(benchCar)
  expect(carSchema.parse(lossyCar)).toEqual(lossyCar)
  expect(trackSchema.parse(lossyTrack)).toEqual(lossyTrack)
  expect(trackSchema.parse(benchTrack)).toEqual(benchTrack)
  expect(carSchema.parse({ ...benchCar, controller: { boost: 0, turbo: null } }).controller).toEqual({
    boost: 0,
    turbo: null,
  })
  expect(carSchema.safeParse({ ...benchCar, wings: 1 }).success).toBe(false)
  expect(trackSchema.safeParse({ segments: [] }).success).toBe(false)
})
