import { SettingsError } from './env'

/** How the server was asked to run. */
export interface Options {
  demo: boolean
  dev: boolean
  https: boolean
  /** False: API and socket only, as some tests want it. */
  screens: boolean
}

const FLAGS: Record<string, (o: Options) => void> = {
  '--demo': (o) => void (o.demo = true),
  '--dev': (o) => void (o.dev = true),
  '--https': (o) => void (o.https = true),
  '--no-screens': (o) => void (o.screens = false),
}

/** @throws SettingsError for an option that there is not. */
export function readOptions(args: readonly string[]): Options {
  const options: Options = { demo: false, dev: false, https: false, screens: true }
  for (const arg of args) {
    const set = Object.hasOwn(FLAGS, arg) ? FLAGS[arg] : undefined
    if (!set) throw new SettingsError(`There is no option “${arg}”. npm start -- takes --demo and --https.`)
    set(options)
  }
  return options
}
