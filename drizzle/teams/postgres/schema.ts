import { postgresOf } from '../../postgres/postgres-of'
import * as list from '../schema'

/** The list of teams for PostgreSQL. Only migrations are made from it. */
export const teams = postgresOf(list.teams)
export const operatorCodes = postgresOf(list.operatorCodes)
export { writers } from '../../postgres/writers'
