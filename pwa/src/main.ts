import { mount } from 'svelte'
import App from './App.svelte'
import { updates } from './shell/update.svelte.ts'
import './tokens.css'

// The records' side is started after the first screen stands, so that the camera never waits for it.
const starters = import.meta.glob<{ start: () => void | Promise<void> }>('./sync/start.ts')

const target = document.getElementById('app')
if (!target) throw new Error('index.html has no #app element')
mount(App, { target })

for (const importer of Object.values(starters)) void importer().then((module) => module.start())
void updates.start()
