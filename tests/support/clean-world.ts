import { afterEach, beforeEach, expect, vi } from 'vitest'

/** A test that makes the code under test complain on the console has failed, unless it expected it. */
let complaints: unknown[][] = []
beforeEach(() => {
  complaints = []
  vi.spyOn(console, 'error').mockImplementation((...args) => void complaints.push(args))
})
afterEach(() => {
  vi.restoreAllMocks()
  expect(complaints, 'console.error was called').toEqual([])
})
