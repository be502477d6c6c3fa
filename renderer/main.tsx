import '@fontsource-variable/inter/wght.css';
import './theme/tokens.css';
import './theme/base.css';
import './parts/parts.css';
import { createRoot } from 'react-dom/client';
import { App } from './app.tsx';
import { connection } from './client/connection.ts';
import { client } from './client/index.ts';
import { createHostInfo, watchHost } from './state/host-info.ts';
import { createPreferencesStore, loadPreferences } from './state/preferences-store.ts';

const place = document.getElementById('app');
if (place === null) throw new Error('index.html has no element "app".');

const preferences = createPreferencesStore();
const host = createHostInfo();
void loadPreferences(client, preferences);
watchHost(client, host, connection);
createRoot(place).render(<App services={{ client, preferences, host }} />);
