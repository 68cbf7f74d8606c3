/** What the first screen can do without. */
import access from './access.ts'
import check from './check.ts'
import cuts from './cuts.ts'
import healing from './healing.ts'
import labels from './labels.ts'
import setup from './setup.ts'
import stock from './stock.ts'
import sync from './sync.ts'

export default {
  access,
  check,
  cuts,
  healing,
  labels,
  setup,
  stock,
  sync,
} as const
