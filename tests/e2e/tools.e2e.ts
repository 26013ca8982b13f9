import type { Page } from 'playwright'
import { afterAll, beforeAll, beforeEach, afterEach, describe, expect, it } from 'vitest'
import { axeFindings } from '../support/axe'
import { closeBrowser, laptop, phone } from '../support/browser'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const tool = (page: Page, name: string) => page.getByRole('article', { name, exact: true })
const type = (page: Page, name: string, label: string, text: string) =>
  tool(page, name).getByLabel(label, { exact: true }).fill(text)
/** What a tool answers, by the figure's label. */
const figures = (page: Page, name: string): Promise<Record<string, string>> =>
  tool(page, name)
    .locator('.figures > li')
    .evaluateAll((all) =>
      Object.fromEntries(
        all.map((li) => [
          li.querySelector('.figure-label')?.textContent ?? '',
          (li.querySelector('.figure-value')?.textContent ?? '').trim(),
        ]),
      ),
    )

describe('a guest who never joined', () => {
  let page: Page
  const complaints: string[] = []
  beforeEach(async () => {
    const context = await phone()
    page = await context.newPage()
    complaints.length = 0
    page.on('pageerror', (e) => complaints.push(e.message))
  })
  afterEach(async () => {
    await page.context().close()
    if (!server.running) await server.restart()
    expect(complaints).toEqual([])
  })

  it('works three things out, is told about nonsense, and goes on when the server is gone', async () => {
    await page.goto(server.origin)
    await page.getByRole('link', { name: 'Tools, without joining' }).click()
    await page.getByRole('heading', { name: 'Tools', level: 1 }).waitFor()

    // 28 on 84 with 2.5 on 85 mm: 3 x 2.5 = 7.5; pi x 85 / 7.5 = 35.605 mm.
    await type(page, 'Gear pair', 'Pinion', '28')
    await type(page, 'Gear pair', 'Spur', '84')
    await type(page, 'Gear pair', 'Internal ratio', '2,5')
    await type(page, 'Gear pair', 'Driven tire diameter', '85')
    expect(await figures(page, 'Gear pair')).toMatchObject({
      'Final drive ratio': '7.5000',
      Rollout: '35.605 mm/turn',
    })

    // 320 + 330 g in front of 1700 g: 38.24%; left 320 + 530: 50%; cross 330 + 530: 50.59%.
    for (const [label, grams] of Object.entries({
      'Left front': '320',
      'Right front': '330',
      'Left rear': '530',
      'Right rear': '520',
    }))
      await type(page, 'Corner weights', label, grams)
    expect(await figures(page, 'Corner weights')).toMatchObject({
      Weight: '1700 g',
      Front: '38.24%',
      Left: '50.00%',
      'Cross (right front and left rear)': '50.59%',
    })

    // Six minutes in laps of 25 s: 14.4, so 15 laps in 375 s; one more below 24 s.
    await type(page, 'Pace', 'Race length', '360')
    await type(page, 'Pace', 'Lap', '25')
    const pace = { Laps: '15', Finish: '375.0 s', 'One more lap below': '24.000 s' }
    expect(await figures(page, 'Pace')).toEqual(pace)

    // Nonsense: the field says what is wrong, the last answer stands and is marked as stale.
    const paceTool = tool(page, 'Pace')
    expect(await paceTool.getByText(/^From the last numbers/).count()).toBe(0)
    for (const [text, reason] of [
      ['-4', 'is out of range'],
      ['fast', 'is not a number'],
      ['0', 'is out of range'],
    ] as const) {
      await type(page, 'Pace', 'Lap', text)
      const field = paceTool.getByLabel('Lap', { exact: true })
      expect(await field.getAttribute('aria-invalid')).toBe('true')
      const described = (await field.getAttribute('aria-describedby')) ?? ''
      const said = await page.evaluate(
        (ids) => ids.map((id) => document.getElementById(id)?.textContent ?? '').join(' '),
        described.split(' '),
      )
      expect(said).toContain(`Lap “${text}”: ${reason}. Enter `)
      await paceTool.getByText('From the last numbers that made sense.').waitFor()
      expect(await figures(page, 'Pace')).toEqual(pace)
    }
    await type(page, 'Pace', 'Lap', '24')
    await paceTool.getByText(/^From the last numbers/).waitFor({ state: 'detached' })
    expect(await figures(page, 'Pace')).toMatchObject({ Laps: '15', Finish: '360.0 s' })

    await page.getByText('Saved on this phone').waitFor()
    await page.context().setOffline(true)
    await server.kill9()
    // A whole new load, by the worker alone.
    await page.reload()
    expect(await page.evaluate(() => navigator.serviceWorker.controller !== null)).toBe(true)
    await type(page, 'Units', 'Value', '100')
    // 100 x 28.349523125 g x 9.80665 m/s2 x 25.4 mm
    expect(await figures(page, 'Units')).toEqual({ '100 oz-in are': '0.7061552 Nm' })
    expect(await figures(page, 'Gear pair')).toMatchObject({ Rollout: '43.180 mm/turn' })

    // And away and back, by links.
    await page.getByRole('link', { name: 'Stagecall', exact: true }).click()
    await page.getByRole('link', { name: 'Tools, without joining' }).click()
    await type(page, 'How long a charge takes', 'From', '100')
    await tool(page, 'How long a charge takes').getByText('From “100”: is out of range').waitFor()
    await type(page, 'How long a charge takes', 'From', '50')
    // From half full at 1 C: 0.9805 - 0.5 of an hour.
    expect((await figures(page, 'How long a charge takes'))['At constant current']).toBe('28.83 min')
  })

  it('tests A against B without a running order: the next run is proposed, laps are typed or pasted, the day’s drift is taken out', async () => {
    await page.goto(`${server.origin}/tools`)
    const ab = tool(page, 'A or B')
    const runs = ab.getByLabel('Runs', { exact: true })
    const example = await runs.inputValue()
    // A tap before the page is awake is nobody's.
    await expect
      .poll(async () => {
        await ab.getByRole('button', { name: 'Clear' }).click()
        return runs.inputValue()
      })
      .toBe('')
    // The example is nobody's: a first run of one's own takes its place.
    await runs.fill(example)
    await ab.getByRole('button', { name: 'Start a run of A' }).dblclick()
    await expect.poll(() => runs.inputValue()).toBe('A ')
    await ab.getByRole('button', { name: 'Clear' }).click()
    await ab.getByText('Can’t tell yet: about 2 more runs of each.').waitFor()
    // B 0.5 s faster on a track that loses 0.1 s a run: A B B A B A A B, each run's laps typed behind what the button wrote.
    const drive = async (mean: number) => {
      const next = (await figures(page, 'A or B'))['Next run'] ?? ''
      await ab.getByRole('button', { name: `Start a run of ${next}` }).click()
      const begun = await runs.inputValue()
      expect(begun.split('\n').at(-1)).toBe(`${next} `)
      const laps = [mean + 1.5, mean - 0.1, mean + 0.1, mean].map((s) => s.toFixed(2)).join(' ')
      await runs.fill(`${begun}${laps}`)
      return next
    }
    const driven: string[] = []
    for (let i = 0; i < 8; i++)
      driven.push(await drive(20 + 0.1 * i + ('ABBABAAB'[i] === 'B' ? -0.5 : 0) + (i % 3 === 0 ? 0.01 : 0)))
    expect(driven.join('')).toBe('ABBABAAB')
    await ab.getByText('B is faster.', { exact: true }).waitFor()
    const told = await figures(page, 'A or B')
    expect(told['B minus A']).toMatch(/^−0\.(49|50|51) ±0\.\d+ s$/)
    expect(told['Taken out']).toMatch(/^drift/)
    await page.reload()
    await ab.getByText('B is faster.', { exact: true }).waitFor()
    expect(await figures(page, 'A or B')).toEqual(told)
    await runs.fill(`${await runs.inputValue()}\n22.1 22.2`)
    await ab.getByText(/Line 9 “22.1 22.2”: does not say which side it is/).waitFor()
  })

  it('finds the gear pair and the lap list with the keyboard alone', async () => {
    await page.goto(`${server.origin}/tools`)
    const link = page.getByRole('navigation', { name: 'Tools' }).getByRole('link', { name: 'Lap list' })
    await link.focus()
    await page.keyboard.press('Enter')
    await page.keyboard.press('Tab')
    expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('TEXTAREA')
    await page.keyboard.press('Control+A')
    await page.keyboard.type('22.0 23.0 1:30 22.5 oops')
    await tool(page, 'Lap list').getByText('Line 1 “oops”: is not a lap time').waitFor()
    await tool(page, 'Lap list')
      .getByText(/^From the last numbers/)
      .waitFor()
    for (let i = 0; i < ' oops'.length; i++) await page.keyboard.press('Backspace')
    // Sorted 22 22.5 23 90: middle 22.75.
    expect(await figures(page, 'Lap list')).toMatchObject({
      Laps: '4',
      Median: '22.750 s',
      Total: '157.50 s',
    })
    await page.keyboard.press('Tab')
    await page.keyboard.press('Enter')
    await tool(page, 'Lap list').getByText('standard deviation 3.825').waitFor()
  })
})

describe.each([
  { width: 390, make: phone },
  { width: 1280, make: laptop },
])('at $width px', ({ make }) => {
  it.each([
    { light: 'day', cookie: 'off' },
    { light: 'night', cookie: 'on' },
  ])(
    'by $light, axe-core finds nothing and nothing is wider than the window, with nonsense in a field',
    async ({ cookie }) => {
      const context = await make()
      await context.addCookies([{ name: 'stagecall_night', value: cookie, url: server.origin }])
      const page = await context.newPage()
      await page.goto(`${server.origin}/tools`)
      await type(page, 'Pace', 'Lap', 'fast')
      await type(page, 'Gear pairs', 'Pinions to', '12')
      await tool(page, 'Gear pairs').getByText('Pinions to “12”').waitFor()
      await tool(page, 'Ballast').getByText('Worked example').click()
      expect(
        await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        ),
      ).toBe(0)
      expect(await axeFindings(page)).toEqual([])
      await context.close()
    },
  )
})
