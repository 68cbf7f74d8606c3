import access from './access.ts'
import check from './check.ts'
import cuts from './cuts.ts'
import healing from './healing.ts'
import kit from './kit.ts'
import labels from './labels.ts'
import piece from './piece.ts'
import scan from './scan.ts'
import setup from './setup.ts'
import shell from './shell.ts'
import stock from './stock.ts'
import sync from './sync.ts'

export default {
  access,
  check,
  cuts,
  healing,
  kit,
  labels,
  piece,
  scan,
  setup,
  shell,
  stock,
  sync,
} as const
