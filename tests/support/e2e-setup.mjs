import { dirname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { buildScreens } from '../../server/setup/build-screens.mjs'

/** Before the browser tests: the screens are built once; each test file starts a server of its own. */
export const setup = () =>
  buildScreens(dirname(dirname(dirname(fileURLToPath(import.meta.url)))), { evenWhileServing: true })
