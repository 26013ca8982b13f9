import { spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))

/** Phones in a process of their own: `script` with a JSON configuration, whose one line of JSON is the answer. @throws when it fails. */
export async function runLoad<Result>(script: URL, config: object): Promise<Result> {
  const child = spawn(process.execPath, ['--import', 'tsx', fileURLToPath(script), JSON.stringify(config)], {
    cwd: ROOT,
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  let said = ''
  child.stdout.on('data', (chunk: Buffer) => (said += chunk.toString()))
  const code = await new Promise((resolve) => child.on('exit', resolve))
  if (code !== 0) throw new Error(`The load ended with ${String(code)}`)
  return JSON.parse(said) as Result
}
