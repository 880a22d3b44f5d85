// Strokes of many bags on the stated finite problem: a block takes one hole and 32 bags, a lane a bag.
//
// As on the processor: D, what a spot costs more than with all clubs, from 0 upwards, near spots first; a warp
// takes a spot, and the warps of a block take neighbouring ones at a time, each from values of before. The
// order of the sums is fixed, so that an answer is the same on every run.

#define LANES 32
#define ALL 0xffffffffu
#define FAR 1e6f

struct Problem {
    const int* order;            // holes, the largest first
    const int* first_spot;       // of hole h and the next
    const int* tee;              // within the hole
    const int* first_option;     // of spot s and the next
    const int* club;             // -1: the fallback
    const float* cost;
    const int* first_entry;      // of option o and the next
    const int2* entry;           // spot within the hole, and the bits of its chance
};

// Expected D at the spot with each lane's bag; `best` where none is cheaper.
__device__ float cheapest(const Problem& p, int s, unsigned long long bag, const float* d, int lane) {
    float best = FAR;
    for (int o = p.first_option[s], last = p.first_option[s + 1]; o < last; o++) {
        const float cost = p.cost[o];
        // Exact: an option never costs less than its own cost, and options stand in the order of theirs.
        if (!__any_sync(ALL, best > cost)) break;
        const int club = p.club[o];
        const bool has = club < 0 || (bag >> club & 1);
        if (!__any_sync(ALL, has && best > cost)) continue;
        float q = cost;
        const int end = p.first_entry[o + 1];
#pragma unroll 4
        for (int z = p.first_entry[o]; z < end; z++) {
            const int2 e = __ldg(p.entry + z);
            q += __int_as_float(e.y) * d[e.x * LANES + lane];
        }
        if (has) best = fminf(best, q);
    }
    return best;
}

// `bag` (bags,); D at the tees into out (bags, holes), the largest last change of any value into left (one for
// each block). `room` holds LANES numbers for each spot of the largest hole and block; null where they have
// their place in the memory of the block itself.
extern "C" __global__ void __launch_bounds__(1024) strokes_of(
    const Problem* given, const unsigned long long* bag, int bags, float still, int most, int widest, float* room,
    float* out, float* left) {
    extern __shared__ float own[];
    const Problem p = *given;
    const int lane = threadIdx.x % 32, warp = threadIdx.x / 32, warps = blockDim.x / 32;
    const int h = p.order[blockIdx.x], s0 = p.first_spot[h], n = p.first_spot[h + 1] - s0;
    const int block = blockIdx.y * gridDim.x + blockIdx.x, which = blockIdx.y * LANES + lane;
    // A lane without a bag holds every club: it costs nothing more anywhere.
    const unsigned long long mine = which < bags ? bag[which] : ~0ull;
    float* d = room ? room + (size_t)block * widest * LANES : own;
    for (int k = threadIdx.x; k < n * LANES; k += blockDim.x) d[k] = 0.0f;
    __syncthreads();
    float change = 0.0f;
    for (int sweep = 0; sweep < most; sweep++) {
        change = 0.0f;
        for (int a = 0; a < n; a += warps) {
            const int s = a + warp;
            const float best = s < n ? cheapest(p, s0 + s, mine, d, lane) : 0.0f;
            __syncthreads();
            if (s < n) {
                change = fmaxf(change, best - d[s * LANES + lane]);
                d[s * LANES + lane] = best;
            }
            __syncthreads();
        }
        if (!__syncthreads_or(change > still)) break;
    }
    for (int far = 16; far; far >>= 1) change = fmaxf(change, __shfl_xor_sync(ALL, change, far));
    __shared__ float moved[32];
    if (lane == 0) moved[warp] = change;
    __syncthreads();
    if (threadIdx.x == 0) {
        for (int k = 1; k < warps; k++) change = fmaxf(change, moved[k]);
        left[block] = change;
    }
    if (warp == 0 && which < bags) out[(size_t)which * gridDim.x + h] = d[p.tee[h] * LANES + lane];
}
