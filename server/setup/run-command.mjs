import { spawn } from 'node:child_process'
import { SetupError } from './say.mjs'

/**
 * Run a command to its end, its output on our stderr.
 * @param {string} command
 * @param {readonly string[]} args
 * @param {{ cwd: string, env?: Record<string, string | undefined> }} options
 */
export function runCommand(command, args, { cwd, env = process.env }) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { cwd, env, stdio: ['ignore', 2, 2] })
    child.on('error', (e) => reject(new SetupError(`${command} could not be started: ${e.message}`)))
    child.on('exit', (code, signal) =>
      code === 0
        ? resolve()
        : reject(new SetupError(`${[command, ...args].join(' ')} ended with ${signal ?? `code ${code}`}.`)),
    )
  })
}

/** npm as the running Node would start it: through its script where npm started us (no shell, also on Windows), else by name. */
export function runNpm(args, options) {
  const script = process.env.npm_execpath
  if (script && /\.c?js$/.test(script)) return runCommand(process.execPath, [script, ...args], options)
  return process.platform === 'win32'
    ? runCommand('cmd.exe', ['/d', '/s', '/c', 'npm', ...args], options)
    : runCommand('npm', args, options)
}
