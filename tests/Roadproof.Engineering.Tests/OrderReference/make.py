"""Reference values for order analysis, computed by NumPy and SciPy. Run in this folder: python3 make.py"""
import numpy as np, scipy
from scipy.interpolate import CubicSpline
from scipy.signal import firwin, filtfilt, hilbert, resample, welch
from scipy.signal.windows import general_cosine
from scipy.stats import kurtosis

rng = np.random.default_rng(11)
RATE, N = 2000.0, 4096
t = np.arange(N) / RATE
turns = 4 * t + 4 * t * t                      # 240 to about 1220 rpm
angle = 2 * np.pi * turns

# A run-up: orders 1, 3.3 and 8, swings of order 2 on a carrier of 500 Hz, a little noise below 0.4 of the rate.
noise = rng.standard_normal(N)
spectrum = np.fft.rfft(noise); spectrum[int(0.38 * N):] = 0
noise = np.fft.irfft(spectrum, N)
x = 1.2 + np.cos(angle) + 0.5 * np.cos(3.3 * angle + 1) + 0.3 * np.cos(8 * angle) + (1 + 0.6 * np.cos(2 * angle)) * 0.4 * np.cos(2 * np.pi * 500 * t) + 0.05 * noise
x = x.astype(np.float32).astype(float)

# Resampled at 32 samples a turn: 16 times finer by FFT (mean and ends taken off first), then a cubic spline.
grid = np.arange(np.ceil(turns[0] * 32), np.floor(turns[-1] * 32) + 1) / 32
at = CubicSpline(turns, np.arange(N))(grid)
fine = resample(np.concatenate([x, x[::-1]]), 32 * N)  # mirrored, so that the ends join
resampled = CubicSpline(np.arange(32 * N) / 16, fine)(at)

# Analytic signal of 350 to 650 Hz: a long linear-phase filter run both ways, then Hilbert's transform.
band = filtfilt(firwin(257, [350, 650], pass_zero=False, fs=RATE), [1], x - x.mean())
envelope = np.abs(hilbert(band))

np.savetxt("signal.csv", np.column_stack([x, angle, envelope]), delimiter=",", header="x,angle_rad,envelope_350_650", comments="", fmt=["%.9g", "%.12g", "%.6f"])
np.savetxt("resampled.csv", np.column_stack([grid, resampled]), delimiter=",", header="turn,x", comments="", fmt=["%.8g", "%.8f"])

# Averaged spectra of the time signal itself: peak amplitudes, blocks of 512, half overlapped, no detrending.
windows = {"rectangular": [1], "hann": [0.5, 0.5], "blackman-harris": [0.35875, 0.48829, 0.14128, 0.01168], "flat top": [1, 1.942604, 1.340318, 0.440811, 0.043097]}
spectra = []
for a in windows.values():
    _, p = welch(x, 1.0, window=general_cosine(512, a, sym=False) if len(a) > 1 else np.ones(512), nperseg=512, noverlap=256, detrend=False, scaling="spectrum")
    p[1:-1] /= 2                                 # one-sided power of a sine: A²/2 twice
    spectra.append(np.where(np.arange(257) % 256 == 0, np.sqrt(p), 2 * np.sqrt(p)))
np.savetxt("spectra.csv", np.column_stack(spectra), delimiter=",", header=",".join(windows), comments="", fmt="%.12g")

# Natural spline through 40 unevenly spaced points, read in 200 even steps.
kx = np.cumsum(0.2 + rng.random(40)); ky = np.sqrt(kx) + 0.1 * rng.standard_normal(40)
kx[-1] = kx[0] + np.ceil(kx[-1] - kx[0]); step = (kx[-1] - kx[0]) / 199
sx = kx[0] + np.arange(200) * step
np.savetxt("knots.csv", np.column_stack([kx, ky]), delimiter=",", header="x,y", comments="", fmt="%.17g")
np.savetxt("spline.csv", CubicSpline(kx, ky, bc_type="natural")(np.minimum(sx, kx[-1])), header="y", comments="", fmt="%.15g")

m = (np.sqrt((x * x).mean()), kurtosis(x, fisher=False), np.abs(x).max() / np.sqrt((x * x).mean()))
np.savetxt("moments.csv", [m], delimiter=",", header="rms,kurtosis,crest", comments="", fmt="%.12g")
print("numpy", np.__version__, "scipy", scipy.__version__)
