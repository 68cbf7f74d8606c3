/** What the first screen can do without. */
import access from './access.ts'
import changes from './changes.ts'
import check from './check.ts'
import cuts from './cuts.ts'
import healing from './healing.ts'
import held from './held.ts'
import howRead from './how-read.ts'
import labels from './labels.ts'
import lineage from './lineage.ts'
import people from './people.ts'
import phones from './phones.ts'
import photos from './photos.ts'
import setup from './setup.ts'
import stock from './stock.ts'
import sync from './sync.ts'
import trays from './trays.ts'
import trials from './trials.ts'

export default {
  access,
  changes,
  check,
  cuts,
  healing,
  held,
  howRead,
  labels,
  lineage,
  people,
  phones,
  photos,
  setup,
  stock,
  sync,
  trays,
  trials,
} as const
