import { setTimeout as wait } from 'node:timers/promises'
import type { Locator, Page } from 'playwright'
import { LOCK_MS } from '@/app/ui/place-lock'

/**
 * Every tap and every field that a person's hand would need. Between two taps it rests as long as a place stays locked: a script scrolls what it taps to
 * the middle of the screen, so two taps that follow at once would be a double tap there, and where a finger scrolls nothing is locked.
 */
export class Hand {
  taps = 0
  fields = 0
  /** How long it rested, ms: a person's pace has it already. */
  restedMs = 0
  #freeAt = 0
  async tap(target: Locator): Promise<void> {
    this.taps++
    const rest = Math.max(0, this.#freeAt - Date.now())
    this.restedMs += rest
    await wait(rest)
    await target.click()
    this.#freeAt = Date.now() + LOCK_MS
  }
  async write(target: Locator, text: string): Promise<void> {
    this.fields++
    await target.fill(text)
  }
}

export const PEOPLE = ['Ines Varga', 'Jonas Quill', 'Mira Tanaka-Boll', 'Oskar Brandl', 'Selma Ruud']
const CARS = ['Ibis', 'Teal', 'Wren', 'Lark', 'Snipe', 'Finch', 'Grebe']
export const CLASSES = ['2WD Modified', '4WD Modified', 'Truck']
const table = (rows: (string | number)[][]) => rows.map((r) => r.join('\t')).join('\n')

const motors = table([
  ['Name', 'Kind', 'Turns', 'Kv (rpm/V)', 'Resistance (mΩ)', 'No-load current (A)'],
  ...CARS.map((_, i) => [`M${i + 1}`, 'modified', 6.5 + i, 4700 - 260 * i, 7 + i, 3.1]),
])
const cars = table([
  [
    'Car',
    'Driver',
    'Drive',
    'Car number',
    'Transponder',
    'Motor',
    'Speed control',
    'Weight (g)',
    'Internal ratio',
  ],
  ...CARS.map((name, i) => [
    name,
    PEOPLE[i % 5] ?? '',
    i % 2 === 0 ? '4WD' : '2WD',
    20 + i,
    6_100_001 + 17 * i,
    `M${i + 1}`,
    i % 2 === 0 ? 'Box 1' : 'Box 2',
    i % 2 === 0 ? 1610 : 1520,
    i % 2 === 0 ? 2.5 : 2.6,
  ]),
])
const parameters = table([
  ['Label', 'Lowest', 'Highest', 'Step', 'Unit', 'Common quantity'],
  ['Drag', 0, 36, 3, '%', 'Drag brake, %'],
  ['Brake', 20, 100, 4, '%', 'Brake force, %'],
  ['Advance', 0, 24, 2, '°', 'Boost timing at the upper rpm, °'],
  ['Cut', 3, 3.4, 0.05, 'V', 'Low-voltage cutoff, V/cell'],
])
const order = [
  'Heat;Class;Start;Driver;No;Transponder',
  ...Array.from({ length: 60 }, (_, h) => {
    const start = `${9 + Math.floor(h / 8)}:${String((h % 8) * 7).padStart(2, '0')}`
    const car = CARS[h % 7] ?? ''
    const i = CARS.indexOf(car)
    const cls = i % 2 === 0 ? '4WD Modified' : '2WD Modified'
    return [
      `${h + 1};${cls};${start};${PEOPLE[i % 5] ?? ''};${20 + i};${6_100_001 + 17 * i}`,
      `${h + 1};${cls};${start};Guest Racer${h};${70 + (h % 20)};${7_000_000 + h}`,
    ].join('\n')
  }),
].join('\n')

/** Open a list of the kit and add all of it at once. */
async function fill(page: Page, hand: Hand, section: string, many: string, text: string): Promise<void> {
  await hand.tap(
    page
      .getByRole('navigation', { name: 'Kit' })
      .getByRole('link', { name: new RegExp(`^${section} *\\d+$`) }),
  )
  // The list before has a button of the same words.
  await page.getByRole('heading', { level: 1, name: section }).waitFor()
  await hand.tap(page.getByRole('button', { name: 'Add several' }))
  await hand.write(page.getByLabel(`Type or paste ${many}`), text)
  await hand.tap(page.getByRole('button', { name: /^Add \d+ / }))
  await page.getByRole('button', { name: 'Add several' }).waitFor()
}

/** From any page: the whole kit of a small team. */
export async function enterKit(page: Page, hand: Hand): Promise<void> {
  await hand.tap(page.getByRole('link', { name: 'Kit', exact: true }).first())
  await fill(page, hand, 'People', 'people', PEOPLE.join('\n'))
  await fill(page, hand, 'Motors', 'motors', motors)
  await fill(page, hand, 'Speed controls', 'speed controls', 'Box 1, 380 A')
  await hand.tap(page.getByRole('link', { name: /^Box 1/ }))
  await page.getByRole('button', { name: 'Add a parameter' }).waitFor()
  await hand.tap(page.getByRole('button', { name: 'Add several' }))
  await hand.write(page.getByLabel('Type or paste parameters'), parameters)
  await hand.tap(page.getByRole('button', { name: 'Add 4 parameters' }))
  await hand.tap(page.getByRole('button', { name: 'Add more like this' }))
  await hand.tap(page.getByRole('button', { name: 'Add 1 speed control' }))
  await fill(page, hand, 'Cars', 'cars', cars)
  await fill(page, hand, 'Packs', 'packs', 'P1 to P12, 5000 mAh, 2 cells, 2.9 mΩ')
  await fill(page, hand, 'Tire sets', 'tire sets', 'T1 to T8, 4WD, compound soft')
  await fill(page, hand, 'Chargers', 'chargers', 'Bench 1, 2 channels, 20 A')
}

/** A meeting of three classes on a new track, with its order of 60 heats. */
export async function startMeeting(page: Page, hand: Hand): Promise<void> {
  await hand.tap(page.locator('a[href="/"]').first())
  await hand.tap(page.getByRole('link', { name: 'New meeting' }).first())
  await hand.write(page.getByLabel('Meeting name'), 'Spring Trial')
  await hand.tap(page.getByRole('button', { name: /Track$/ }))
  await hand.tap(page.getByRole('option', { name: 'A new track' }))
  await hand.write(page.getByLabel('Name of the track'), 'Far Field')
  await hand.write(page.getByLabel('Classes'), CLASSES.join('\n'))
  await hand.tap(page.getByRole('button', { name: 'Start the meeting' }))
  await page.waitForURL(/\/setup$/)
  await hand.tap(page.getByRole('link', { name: 'Open', exact: true }).first())
  await hand.write(page.getByLabel('Running order as text'), order)
  await hand.tap(page.getByRole('button', { name: /^Read/ }))
  await hand.tap(page.getByRole('button', { name: /^Import 60 heats$/ }))
  await page.getByText('The running order is on the board').waitFor()
  await page.getByText('all saved on the server').first().waitFor()
}
