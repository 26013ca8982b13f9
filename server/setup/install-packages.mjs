import { createHash } from 'node:crypto'
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { runNpm } from './run-command.mjs'
import { say } from './say.mjs'

/** Install what package-lock.json asks for, unless that is what node_modules holds already. */
export async function installPackages(root) {
  const stamp = join(root, 'node_modules', '.stagecall-lock')
  const wanted = hashOf(join(root, 'package-lock.json'))
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return
  if (!holdsWhatIsLocked(root)) {
    say('Installing packages (once; takes a minute) …')
    // Dev packages too: the build needs some, and NODE_ENV must not decide about that.
    await runNpm(['ci', '--include=dev', '--no-audit', '--no-fund'], { cwd: root })
  }
  writeFileSync(stamp, wanted)
}

const hashOf = (file) => createHash('sha256').update(readFileSync(file)).digest('hex')

/**
 * npm writes node_modules/.package-lock.json at the end of every install: when it names the same versions as package-lock.json (packages
 * for other systems aside), somebody has already installed, and nothing must be taken away from under a running program.
 */
function holdsWhatIsLocked(root) {
  const hidden = join(root, 'node_modules', '.package-lock.json')
  if (!existsSync(hidden)) return false
  const installed = JSON.parse(readFileSync(hidden, 'utf8')).packages ?? {}
  const locked = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')).packages ?? {}
  return Object.entries(locked).every(([path, wanted]) => {
    if (path === '' || wanted.optional || wanted.devOptional || wanted.peer) return true
    return installed[path]?.version === wanted.version && existsSync(join(root, path))
  })
}
