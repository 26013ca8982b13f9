import { resolveConfig, format } from 'prettier'
import { expect, test } from 'vitest'
import { policyDoc } from '@/lib/board/policy-doc'

test('[S4] the printed policy is what the table says', async () => {
  const file = 'lib/board/POLICY.md'
  const text = await format(policyDoc(), { ...(await resolveConfig(file)), filepath: file })
  await expect(text).toMatchFileSnapshot(`../../../${file}`)
})
