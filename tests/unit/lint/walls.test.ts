import { ESLint, type Linter } from 'eslint'
import tseslint from 'typescript-eslint'
import { expect, test } from 'vitest'

// A planted file is on no disk, so the rules that ask the type checker about it must not be there.
const eslint = new ESLint({
  ruleFilter: ({ ruleId }) => ruleId === 'house/walls',
  overrideConfig: tseslint.configs.disableTypeChecked as Linter.Config,
})

/** What the wall says of one import in a file at `filePath`. */
async function said(filePath: string, from: string): Promise<string[]> {
  const [result] = await eslint.lintText(`import '${from}'\n`, { filePath })
  return result?.messages.map((m) => m.message) ?? []
}

const ORDER = 'app/board/[meetingId]/order/planted.tsx'

test('a screen that imports another feature’s inside fails the lint, by whichever way it names it', async () => {
  const why = /order reaches into app\/board\/\[meetingId\]\/plan: what two features share moves to a place/
  expect(await said(ORDER, '../plan/plan-screen')).toEqual([expect.stringMatching(why)])
  expect(await said(ORDER, '@/app/board/[meetingId]/plan/plan-screen')).toEqual([expect.stringMatching(why)])
  expect(await said('app/crew/planted.tsx', '@/app/kit/kit-screen')).toEqual([
    expect.stringMatching(/app\/crew reaches into app\/kit/),
  ])
})

test('ui knows neither the board nor a screen', async () => {
  for (const from of [
    '@/app/sync',
    '@/app/sync/hooks',
    '@/app/meeting/use-meeting-id',
    '@/app/kit/kit-screen',
  ])
    expect(await said('app/ui/planted.tsx', from), from).toEqual([
      expect.stringMatching(/ui is presentational/),
    ])
})

test('a place uses only the places under it', async () => {
  expect(await said('app/sync/planted.ts', '@/app/card/use-history')).toEqual([
    expect.stringMatching(/sync is the board in the browser/),
  ])
  expect(await said('app/meeting/planted.tsx', '@/app/sync')).toEqual([])
})

test('across folders imports go by @/, and the lint can put that right; within a feature they are relative', async () => {
  expect(await said(ORDER, '../../../sync')).toEqual([`Across folders imports go by '@/app/sync'`])
  expect(await said(ORDER, '@/app/sync')).toEqual([])
  expect(await said(ORDER, './my-list')).toEqual([])
  expect(await said('app/board/[meetingId]/card/[carId]/planted.tsx', '../card.css')).toEqual([])
})

test('a route puts features together', async () => {
  expect(await said('app/board/new/page.tsx', '@/app/meetings/new-meeting-screen')).toEqual([])
})
