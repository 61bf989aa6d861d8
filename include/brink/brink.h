#ifndef BRINK_BRINK_H
#define BRINK_BRINK_H

/* brink's detector for C: samples of one channel in, rings out.
 *
 * A ring is a tone that a sound system sustains by itself (acoustic feedback). It is `building`
 * while it grows like a ring, `ringing` once that is certain, `fading` while it decays, and `gone`.
 * Each change of state is one event.
 *
 * Typical use: push a block, fetch events until there are none, and so on; at the end finish, and
 * fetch once more. examples/rings.c does that in 40 lines. What stays compatible from version to
 * version: docs/library.md.
 *
 * Threads: one thread at a time for each detector; different detectors share nothing.
 * Ownership: what brink_detector_new() returns is the caller's, to be given to
 * brink_detector_delete() once. Nothing else that is passed in or out is kept or has to be freed.
 * Sound only: the library opens no file and no device, starts no thread, reads no clock and prints
 * nothing. */

#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define BRINK_API __attribute__((visibility("default")))
#else
#define BRINK_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

typedef struct brink_detector brink_detector;

/* What a call came to. brink_error_text() has a sentence for each. */
enum {
  BRINK_OK = 0,
  BRINK_BAD_RATE = 1,     /* the sample rate is not 8000 to 192000 Hz */
  BRINK_BAD_ARGUMENT = 2, /* a null pointer, or a size that no version of this header has */
  BRINK_NO_MEMORY = 3
};

/* Values of brink_event.state. A later version may add some: take one that you do not know for
 * BRINK_GONE. */
enum {
  BRINK_BUILDING = 0, /* grows like a ring, not yet certain */
  BRINK_RINGING = 1,  /* certain */
  BRINK_FADING = 2,   /* decays */
  BRINK_GONE = 3,     /* over; the last event of this ring */
  BRINK_WITHDRAWN = 4 /* taken back: what followed spoke against it. */
};

/* Where a sample index is not known (yet). */
#define BRINK_NEVER INT64_C(-1)

/* A ring changed its state. Samples are counted from 0, the first one pushed; divide by the sample
 * rate for seconds. */
typedef struct brink_event {
  int64_t sample;   /* how many samples had been heard when this was decided; no later one had any
                       influence */
  uint32_t ring_id; /* the same through a ring's life; unique within one detector; > 0 */
  int32_t state;    /* BRINK_BUILDING ... */
  double frequency_hz;    /* as known best: up to the ring's height. Accuracy: docs/validation.md */
  double frequency_sd_hz; /* standard deviation of frequency_hz, >= 0.1 */
  double growth_db_per_s; /* slope of the straight growth, dB/s, as known so far; stands while the
                             ring fades */
  double level_dbfs;      /* now; a full-scale sine reads 0; silence reads -200 */
  double peak_dbfs;       /* the highest so far */
  double confidence;      /* 0 to 1: of rings with this number, about this share are real */
  int64_t onset_sample;   /* where the straight growth began */
  int64_t flagged_sample; /* when `ringing` was decided; BRINK_NEVER before */
  int64_t ended_sample;   /* when it was found gone; BRINK_NEVER while it sounds */
  double frequency_low_hz;  /* the range over which it glided since it was flagged; */
  double frequency_high_hz; /* both are frequency_hz until it does */
} brink_event;

/* One move of an equaliser: a peaking filter. */
typedef struct brink_cut {
  double centre_hz; /* whole Hz, tenths below 100 */
  double q;         /* 4 to 16, tenths */
  double depth_db;  /* -3, -6, -9 or -12 */
} brink_cut;

/* What came in. Nothing is hidden or repaired in silence. */
typedef struct brink_counts {
  int64_t samples;
  int64_t non_finite; /* NaN and infinity; each was taken as 0 */
  int64_t clipped;    /* at or beyond full scale */
} brink_counts;

/* The version of the library that runs, as "0.1.0". Static text. */
BRINK_API const char* brink_version(void);

/* One sentence, in English, for what a call came to. Static text; never null. */
BRINK_API const char* brink_error_text(int error);

/* A detector for one channel. `sample_rate_hz`: 8000 to 192000. Allocates about 5 MB, all that it
 * will need. Null on failure; `error` (may be null) then says why: BRINK_BAD_RATE or
 * BRINK_NO_MEMORY, else BRINK_OK. */
BRINK_API brink_detector* brink_detector_new(double sample_rate_hz, int* error);

/* Ends a detector; null does nothing. Events that were not fetched are lost. */
BRINK_API void brink_detector_delete(brink_detector* detector);

/* Takes the next `count` samples of the channel, full scale +-1.
 *
 * Blocks may have any size, 0 included (`samples` may then be null): the same samples give the same
 * events, bit for bit, however they are cut. Silence gives no events. NaN and infinity count as
 * silence and are counted; beyond +-8 samples are bounded. Delay: an event is queued as soon as the
 * hop that decides it is complete, at most 16 ms of sound later; how long a decision needs depends
 * on the ring (docs/validation.md has the figures). Real time: neither allocates, locks nor waits
 * while events are fetched at least every 1000 of them; otherwise the queue grows. BRINK_NO_MEMORY:
 * the queue could not grow and an event is missing. All samples were taken nevertheless. */
BRINK_API int brink_detector_push(brink_detector* detector, const float* samples, size_t count);

/* The stream is over: every ring that still sounds is gone, which queues its last event. Push no
 * more after it: another stream wants another detector. Errors and real time as for
 * brink_detector_push(). */
BRINK_API int brink_detector_finish(brink_detector* detector);

/* Fetches the oldest event that was not fetched yet: 1 and `event` is filled; 0 and it is untouched
 * when there is none. `event_size` is sizeof(brink_event): a program built with an older, shorter
 * one goes on working. Neither allocates nor waits. 0 for a null pointer or a size that no version
 * has. */
BRINK_API int brink_detector_next_event(brink_detector* detector,
                                        brink_event* event,
                                        size_t event_size);

/* What came in so far; all zero for null. */
BRINK_API brink_counts brink_detector_counts(const brink_detector* detector);

/* The cut against one ring by itself, in round numbers, from its frequency, growth and confidence;
 * `brink analyse` proposes the same. Meaningful for a ring that was flagged. Every event gives a
 * legal cut. Allocates: not for a real-time thread. `event_size` as above. BRINK_BAD_ARGUMENT or
 * BRINK_NO_MEMORY leave `cut` untouched. */
BRINK_API int brink_propose_cut(const brink_event* event, size_t event_size, brink_cut* cut);

#ifdef __cplusplus
}
#endif

#endif
