import { type ComponentType, type ReactNode, useEffect, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import { ErrorBoundary } from './parts/error-boundary.tsx';
import { HostNotices } from './parts/host-notices.tsx';
import { TopBar } from './parts/top-bar.tsx';
import { BackupsScreen } from './screens/backups/backups-screen.tsx';
import { BenchScreen } from './screens/bench/bench-screen.tsx';
import { BookScreen } from './screens/book/book-screen.tsx';
import { BuildScreen } from './screens/book/build-screen.tsx';
import { NewBuildScreen } from './screens/book/new-build-screen.tsx';
import { ChecksScreen } from './screens/checks/checks-screen.tsx';
import { CompareScreen } from './screens/compare/compare-screen.tsx';
import { CustomersScreen } from './screens/customers/customers-screen.tsx';
import { ExchangeScreen } from './screens/exchange/exchange-screen.tsx';
import { HelpScreen } from './screens/help/help-screen.tsx';
import { HistoryScreen } from './screens/history/history-screen.tsx';
import { InstrumentsScreen } from './screens/instruments/instruments-screen.tsx';
import { MockUpScreen } from './screens/mock-up/mock-up-screen.tsx';
import { NewPartScreen } from './screens/parts/new-part-screen.tsx';
import { PartScreen } from './screens/parts/part-screen.tsx';
import { PartsScreen } from './screens/parts/parts-screen.tsx';
import { PlanScreen } from './screens/plan/plan-screen.tsx';
import { PortsScreen } from './screens/ports/ports-screen.tsx';
import { PreferencesScreen } from './screens/preferences/preferences-screen.tsx';
import { SetUpScreen } from './screens/set-up/set-up-screen.tsx';
import { SheetsScreen } from './screens/sheets/sheets-screen.tsx';
import { watchMockUp } from './state/mock-up-effects.ts';
import { createMockUpStore } from './state/mock-up-store.ts';
import { isBenchScreen, type MockUpPlace, type Route } from './state/route.ts';
import {
  MockUpContext,
  type Services,
  ServicesContext,
  useClient,
  usePreferences,
  useRoute,
} from './state/services.ts';

/** Screens of a mock-up; each finds its mock-up by `useMockUpState`. */
const mockUpScreens: Readonly<Partial<Record<MockUpPlace, ComponentType>>> = {
  overview: MockUpScreen,
  'set-up': SetUpScreen,
  bench: BenchScreen,
  checks: ChecksScreen,
  ports: PortsScreen,
  plan: PlanScreen,
  sheets: SheetsScreen,
};

export function App({ services }: { services: Services }) {
  return (
    <ServicesContext value={services}>
      <Page />
    </ServicesContext>
  );
}

function Page() {
  const route = useRoute();
  const preferences = usePreferences();
  useEffect(() => {
    const root = document.documentElement;
    const isDark = preferences.theme === 'dark' || (preferences.theme === 'by_place' && isBenchScreen(route));
    root.dataset['theme'] = isDark ? 'bench' : 'desk';
    root.dataset['motion'] = preferences.motion;
  }, [route, preferences]);
  if (route.screen === 'mock-up') return <MockUpPage key={route.mockUpId} route={route} />;
  return <DeskPage key={route.screen === 'build' ? route.buildId : route.screen} route={route} />;
}

type DeskRoute = Exclude<Route, { screen: 'mock-up' }>;

function DeskPage({ route }: { route: DeskRoute }) {
  const [title, setTitle] = useState<string | null>(null);
  return (
    <Frame route={route} buildTitle={title} buildId={null} mockUpName={null}>
      {deskScreen(route, setTitle)}
    </Frame>
  );
}

function deskScreen(route: DeskRoute, onTitle: (title: string) => void): ReactNode {
  switch (route.screen) {
    case 'new-build':
      return <NewBuildScreen />;
    case 'build':
      return <BuildScreen buildId={route.buildId} onTitle={onTitle} />;
    case 'compare':
      return <CompareScreen mockUpIds={route.mockUpIds} />;
    case 'instruments':
      return <InstrumentsScreen />;
    case 'preferences':
      return <PreferencesScreen />;
    case 'help':
      return <HelpScreen page={route.page} />;
    case 'parts':
      return <PartsScreen />;
    case 'part':
      return <PartScreen key={route.partId} partId={route.partId} />;
    case 'new-part':
      return <NewPartScreen key={route.kind} kind={route.kind} />;
    case 'customers':
      return <CustomersScreen customerId={route.customerId} />;
    case 'history':
      return <HistoryScreen key={route.id} of={route.of} id={route.id} />;
    case 'exchange':
      return <ExchangeScreen />;
    case 'backups':
      return <BackupsScreen />;
    case 'book':
      return <BookScreen />;
  }
}

/** Opens the mock-up once for all its places, so that going from one to the next asks nothing again. */
function MockUpPage({ route }: { route: Extract<Route, { screen: 'mock-up' }> }) {
  const client = useClient();
  const store = useMemo(() => createMockUpStore(route.mockUpId), [route.mockUpId]);
  useEffect(() => watchMockUp(client, store), [client, store]);
  const whole = useStore(store, (state) => state.whole);
  const Screen = mockUpScreens[route.place];
  return (
    <MockUpContext value={store}>
      <Frame
        route={route}
        buildTitle={whole?.build.title ?? null}
        buildId={whole?.build.id ?? null}
        mockUpName={whole?.mockUp.name ?? null}
      >
        {Screen === undefined ? null : <Screen />}
      </Frame>
    </MockUpContext>
  );
}

interface FrameProps {
  readonly route: Route;
  readonly buildTitle: string | null;
  readonly buildId: string | null;
  readonly mockUpName: string | null;
  readonly children: ReactNode;
}

function Frame({ route, buildTitle, buildId, mockUpName, children }: FrameProps) {
  return (
    <div className="page" data-kind={isBenchScreen(route) ? 'bench' : 'desk'}>
      <TopBar route={route} buildTitle={buildTitle} buildId={buildId} mockUpName={mockUpName} />
      <HostNotices />
      <main className="page-main">
        <ErrorBoundary key={route.screen === 'mock-up' ? route.place : route.screen}>{children}</ErrorBoundary>
      </main>
    </div>
  );
}
