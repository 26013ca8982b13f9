/** One flood on the server of the tree that this file lies in (`npm run bench:flood`): `tsx tests/attack/run-flood.ts "presence floods"`. */
import { floodAttacks } from './flood'
import { runAttack } from './run-attack'

const attack = floodAttacks.find((a) => a.title.includes(`: ${process.argv[2] ?? ''};`))
if (!attack) throw new Error('there is no such flood')
console.log(JSON.stringify(await runAttack(attack)))
process.exit(0)
