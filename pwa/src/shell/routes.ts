import type { Component } from 'svelte'
import type { PlainKey } from '../words/index.ts'

/** What a screen is given: the named parts of its path. */
export type Params = Record<string, string>
export type Screen = Component<Params>

export interface Route {
  readonly path: RegExp
  /** `folder/Name` under the source folder. */
  readonly screen: string
  readonly title: PlainKey
}

export interface Match {
  readonly screen: string
  readonly title: PlainKey
  readonly params: Params
}

const ID = '(?<id>[^/]+)'

export const ROUTES: readonly Route[] = [
  { path: /^\/(?:scan)?$/, screen: 'scan/ScanScreen', title: 'shell.scan' },
  { path: /^\/q\/(?<code>[^/]+)$/i, screen: 'scan/ScanScreen', title: 'shell.scan' },
  { path: new RegExp(`^/piece/${ID}$`), screen: 'stock/PieceScreen', title: 'shell.piece' },
  { path: new RegExp(`^/check/${ID}$`), screen: 'check/CheckScreen', title: 'shell.check' },
  { path: /^\/stock$/, screen: 'stock/StockScreen', title: 'shell.stock' },
  { path: new RegExp(`^/tray/${ID}$`), screen: 'trays/TrayScreen', title: 'shell.tray' },
  { path: new RegExp(`^/tray/${ID}/put$`), screen: 'trays/PutScreen', title: 'shell.put' },
  { path: new RegExp(`^/tank/${ID}$`), screen: 'trays/TankScreen', title: 'shell.tank' },
  { path: /^\/trays$/, screen: 'trays/TraysScreen', title: 'shell.trays' },
  { path: new RegExp(`^/cut/${ID}$`), screen: 'cuts/CutScreen', title: 'shell.cut' },
  { path: new RegExp(`^/family/${ID}$`), screen: 'lineage/FamilyScreen', title: 'piece.family' },
  { path: /^\/lines$/, screen: 'lineage/LinesScreen', title: 'piece.lines' },
  { path: /^\/cuts$/, screen: 'cuts/CutsScreen', title: 'shell.cuts' },
  { path: /^\/labels$/, screen: 'labels/LabelsScreen', title: 'shell.labels' },
  { path: /^\/labels\/prints$/, screen: 'labels/PrintsScreen', title: 'shell.prints' },
  { path: new RegExp(`^/labels/prints/${ID}$`), screen: 'labels/PrintScreen', title: 'shell.print' },
  { path: /^\/labels\/sheets$/, screen: 'labels/OwnSheetsScreen', title: 'shell.sheets' },
  { path: /^\/labels\/printers$/, screen: 'labels/PrintersScreen', title: 'shell.printers' },
  { path: /^\/labels\/reading$/, screen: 'labels/HowReadScreen', title: 'shell.howRead' },
  { path: /^\/trials$/, screen: 'trials/TrialsScreen', title: 'shell.trials' },
  { path: new RegExp(`^/trial/${ID}$`), screen: 'trials/TrialScreen', title: 'shell.trial' },
  { path: /^\/healing$/, screen: 'healing/HealingScreen', title: 'shell.healing' },
  { path: /^\/healing\/pieces$/, screen: 'healing/PiecesScreen', title: 'shell.behind' },
  { path: /^\/healing\/compare$/, screen: 'healing/CompareScreen', title: 'shell.sideBySide' },
  { path: /^\/healing\/warnings$/, screen: 'healing/WarningsScreen', title: 'shell.standOut' },
  { path: /^\/healing\/likely$/, screen: 'healing/LikelyScreen', title: 'shell.likely' },
  { path: /^\/setup$/, screen: 'access/SetupScreen', title: 'shell.setup' },
  { path: /^\/people$/, screen: 'access/PeopleScreen', title: 'shell.people' },
  { path: /^\/phones$/, screen: 'access/PhonesScreen', title: 'shell.phones' },
  { path: /^\/phones\/pair$/, screen: 'access/PairScreen', title: 'shell.pair' },
  { path: /^\/held$/, screen: 'access/HeldScreen', title: 'shell.held' },
  { path: /^\/changes$/, screen: 'access/ChangesScreen', title: 'shell.changes' },
  { path: /^\/you$/, screen: 'access/YouScreen', title: 'shell.you' },
  { path: /^\/hold$/, screen: 'access/HoldScreen', title: 'shell.hold' },
  { path: /^\/sign-in$/, screen: 'access/SignInScreen', title: 'shell.signIn' },
  { path: /^\/waiting$/, screen: 'sync/WaitingScreen', title: 'shell.waiting' },
  { path: /^\/more$/, screen: 'shell/MoreScreen', title: 'shell.more' },
]

/** A broken escape in an address is kept as it stands: it then simply names nothing. */
function plain(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch (error) {
    if (error instanceof URIError) return text
    throw error
  }
}

/** The screen for a path and the parts of it the screen wants; null where there is none. */
export function match(path: string): Match | null {
  for (const route of ROUTES) {
    const found = route.path.exec(path.length > 1 ? path.replace(/\/$/, '') : path)
    if (!found) continue
    const groups = Object.entries(found.groups ?? {})
    return {
      screen: route.screen,
      title: route.title,
      params: Object.fromEntries(groups.map(([name, value]) => [name, plain(value)])),
    }
  }
  return null
}
