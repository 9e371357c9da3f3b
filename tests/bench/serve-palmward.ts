// Palmward as `serve` runs it, with its loops, in the data folder that is named on the command line, or on the database behind it.
import { serve } from '../../src/main.ts';
import { settingsOf } from './posts.ts';

const { address, stop } = await serve(settingsOf(process.argv[2]!, process.argv[3]));
process.send?.(Number(new URL(address).port));
// A stop by itself, so that `--cpu-prof` writes its profile.
process.once('SIGTERM', () => void stop().then(() => process.exit(0)));
