// Strokes of many bags on the stated finite problem: a block takes one hole and 64 bags, a lane two of them.
//
// As on the processor: D, what a spot costs more than with all clubs, from 0 upwards, near spots first; a warp
// takes a spot, and the warps of a block take as many at a time, each from values of before: spots of one
// neighbourhood that have about as much to add up, so that none waits for long. The order of the sums is fixed,
// so that an answer is the same on every run.

#define LANES 32
#define BAGS 64
#define MOST_WARPS 32
#define ALL 0xffffffffu
#define FAR 1e6f

struct Problem {
    const int* order;            // holes, those with most entries first
    const int* first_spot;       // of hole h and the next
    const int* tee;              // within the hole
    const int* turn;             // the spots, hole by hole, in the order in which they are taken
    const int* first_option;     // of spot s and the next
    const int4* option;          // bits of its cost, club (-1: the fallback), first entry, end of its entries
    const int2* entry;           // place of the spot's numbers within the hole, and the bits of its chance
};

// Sum of chance * D over a row of entries, each lane for its own bags: the lanes fetch 32 entries at a time into
// `held`, from where all read them two by two, and the next 32 are under way before these are used.
__device__ __forceinline__ float2 expected(const Problem& p, int z, int end, const float2* d, int4* held, int lane) {
    const int2 none = make_int2(0, 0);
    int2 now = z + lane < end ? __ldg(p.entry + z + lane) : none;
    float2 q = make_float2(0.0f, 0.0f), r = q;
    for (; z < end; z += LANES) {
        __syncwarp();
        ((int2*)held)[lane] = now;
        __syncwarp();
        now = z + LANES + lane < end ? __ldg(p.entry + z + LANES + lane) : none;
        const int pairs = min(end - z + 1, LANES) / 2;
        for (int k = 0; k < pairs; k += 4) {
#pragma unroll
            for (int j = 0; j < 4; j++) {
                const int4 e = held[k + j];
                const float2 a = d[e.x + lane], b = d[e.z + lane];
                const float u = __int_as_float(e.y), v = __int_as_float(e.w);
                q.x += u * a.x, q.y += u * a.y;
                r.x += v * b.x, r.y += v * b.y;
            }
        }
    }
    return make_float2(q.x + r.x, q.y + r.y);
}

// D at the spot with each lane's bags.
__device__ __forceinline__ float2 cheapest(
    const Problem& p, int s, ulonglong2 bag, const float2* d, int4* held, int lane) {
    float2 best = make_float2(FAR, FAR);
    const int last = p.first_option[s + 1];
    for (int first = p.first_option[s]; first < last; first += LANES) {
        // Each lane holds one option's numbers.
        const int4 mine = first + lane < last ? __ldg(p.option + first + lane) : make_int4(0, 0, 0, 0);
        for (int k = 0; k < LANES && first + k < last; k++) {
            // Exact: an option never costs less than its own cost, and options stand in the order of theirs.
            const float cost = __int_as_float(__shfl_sync(ALL, mine.x, k));
            if (!__any_sync(ALL, best.x > cost || best.y > cost)) return best;
            const int club = __shfl_sync(ALL, mine.y, k);
            const bool one = club < 0 || (bag.x >> club & 1), other = club < 0 || (bag.y >> club & 1);
            if (!__any_sync(ALL, (one && best.x > cost) || (other && best.y > cost))) continue;
            const int z = __shfl_sync(ALL, mine.z, k), end = __shfl_sync(ALL, mine.w, k);
            const float2 q = expected(p, z, end, d, held, lane);
            if (one) best.x = fminf(best.x, cost + q.x);
            if (other) best.y = fminf(best.y, cost + q.y);
        }
    }
    return best;
}

// `bag` (bags,); D at the tees into out (bags, holes), the largest last change of any value into left and the
// number of sweeps into swept (one for each block). `room` holds, for each block, BAGS numbers for each of
// `widest` spots; null where they have their place in the memory of the block itself.
extern "C" __global__ void __launch_bounds__(LANES* MOST_WARPS) strokes_of(
    const Problem* given, const unsigned long long* bag, int bags, float still, int most, int widest, float2* room,
    float* out, float* left, int* swept) {
    extern __shared__ float2 own[];
    __shared__ int4 held[MOST_WARPS][LANES / 2];
    __shared__ float moved[MOST_WARPS];
    const Problem p = *given;
    const int lane = threadIdx.x % LANES, warp = threadIdx.x / LANES, warps = blockDim.x / LANES;
    const int h = p.order[blockIdx.x], s0 = p.first_spot[h], n = p.first_spot[h + 1] - s0;
    const int block = blockIdx.y * gridDim.x + blockIdx.x, which = blockIdx.y * BAGS + 2 * lane;
    // A place without a bag holds every club: it costs nothing more anywhere.
    const ulonglong2 mine = make_ulonglong2(which < bags ? bag[which] : ~0ull, which + 1 < bags ? bag[which + 1] : ~0ull);
    float2* d = room ? room + (size_t)block * widest * LANES : own;
    for (int k = threadIdx.x; k < n * LANES; k += blockDim.x) d[k] = make_float2(0.0f, 0.0f);
    __syncthreads();
    float change = 0.0f;
    int sweeps = 0;
    while (sweeps < most) {
        sweeps++;
        change = 0.0f;
        for (int a = 0; a < n; a += warps) {
            const int s = a + warp < n ? p.turn[s0 + a + warp] - s0 : -1;
            float2 best;
            if (s >= 0) best = cheapest(p, s0 + s, mine, d, held[warp], lane);
            __syncthreads();
            if (s >= 0) {
                float2* at = d + s * LANES + lane;
                change = fmaxf(change, fmaxf(best.x - at->x, best.y - at->y));
                *at = best;
            }
            __syncthreads();
        }
        if (!__syncthreads_or(change > still)) break;
    }
    for (int far = 16; far; far >>= 1) change = fmaxf(change, __shfl_xor_sync(ALL, change, far));
    if (lane == 0) moved[warp] = change;
    __syncthreads();
    if (threadIdx.x == 0) {
        for (int k = 1; k < warps; k++) change = fmaxf(change, moved[k]);
        left[block] = change;
        swept[block] = sweeps;
    }
    if (warp == 0) {
        const float2 tee = d[p.tee[h] * LANES + lane];
        if (which < bags) out[(size_t)which * gridDim.x + h] = tee.x;
        if (which + 1 < bags) out[(size_t)(which + 1) * gridDim.x + h] = tee.y;
    }
}
