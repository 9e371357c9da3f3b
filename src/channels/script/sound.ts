// A beep that is felt too. Browsers stay silent until somebody has tapped the page.

export type Sound = (hertz: number, ms: number) => void;

export const sound = (): Sound => {
  let context: AudioContext | null = null;
  return (hertz, ms) => {
    try {
      if (navigator.vibrate) navigator.vibrate(ms);
      if (!context) {
        const old = (window as unknown as { webkitAudioContext: typeof AudioContext }).webkitAudioContext;
        context = new (window.AudioContext || old)();
      }
      if (context.state === 'suspended') void context.resume();
      const tone = context.createOscillator();
      tone.type = 'square';
      tone.frequency.value = hertz;
      tone.connect(context.destination);
      tone.start();
      tone.stop(context.currentTime + ms / 1000);
    } catch (fault) {
      // Without a loudspeaker there is still the number to see.
      void fault;
    }
  };
};
