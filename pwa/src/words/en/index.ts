import first from './first.ts'
import later from './later.ts'

/** The whole catalogue: the shape a second language fills. */
export default { ...first, ...later } as const
