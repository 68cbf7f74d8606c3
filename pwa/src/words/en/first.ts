/** What stands before any other screen is opened. */
import kit from './kit.ts'
import piece from './piece.ts'
import scan from './scan.ts'
import shell from './shell.ts'

export default {
  kit,
  piece,
  scan,
  shell,
} as const
