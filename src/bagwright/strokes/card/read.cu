// Means over shot patterns, read from the blurred levels as the processor reads them.

__device__ __forceinline__ float between(u64 z, float ax, float ay) {
    const unsigned low = (unsigned)z, high = (unsigned)(z >> 32);
    const float u00 = low & 0xFFFF, u01 = low >> 16, u10 = high & 0xFFFF, u11 = high >> 16;
    const float u0 = u00 + ay * (u01 - u00), u1 = u10 + ay * (u11 - u10);
    return u0 + ax * (u1 - u0);
}

struct Node {
    int at;
    float ax, ay;
};

__device__ __forceinline__ Node locate(const Level* level, int k, float px, float py) {
    const float4 a = __ldg((const float4*)(level + k));
    const int2 b = __ldg((const int2*)(level + k) + 2);
    const float x = fminf(fmaxf(px * a.x + a.y, 0.0f), a.z), y = fminf(fmaxf(py * a.x + a.y, 0.0f), a.w);
    const int i = (int)x, j = (int)y;
    return {b.x + i * b.y + j, x - i, y - j};
}

__device__ float height_at(const Course* g, const Hole& o, float px, float py) {
    const float x = fminf(fmaxf(px - 0.5f, 0.0f), o.rows - 1.001f);
    const float y = fminf(fmaxf(py - 0.5f, 0.0f), o.columns - 1.001f);
    const int i = (int)x, j = (int)y;
    const float ax = x - i, ay = y - j;
    const float *a = g->height + o.cell + i * o.columns + j, *b = a + o.columns;
    const float z0 = a[0] + ay * (a[1] - a[0]), z1 = b[0] + ay * (b[1] - b[0]);
    return z0 + ax * (z1 - z0);
}

struct Ask {  // one question: a spot, and a shot in a direction
    float x, y, h, c, s;
    int which;  // lie * shots + shot
};

__device__ __forceinline__ float2 blown(const Hole& o, const float* e, float c, float s) {
    const float head = o.wind_c * c + o.wind_s * s, side = o.wind_s * c - o.wind_c * s;
    return make_float2(e[1] + e[2] * head + e[3] * (2.0f * head * head - 1.0f), e[4] * side + e[5] * 2.0f * side * head);
}

// How far the pattern moves along its aim (x) and to the right (y): wind, height and mean run at its centre;
// how much of that is the height (z).
template <bool CLOSELY>
__device__ float3 moved(const Course* g, const Player* p, const Hole& o, const Level* level, const Ask& a) {
    const float* e = p->extra + 10 * a.which;
    const float2 wind = blown(o, e, a.c, a.s);
    float3 m = make_float3(wind.x, wind.y, 0.0f);
    const float dd = e[6] + m.x, qq = e[7] + m.y;
    float px = a.x + dd * a.c - qq * a.s, py = a.y + dd * a.s + qq * a.c;
    if (o.hilly) {
        float before = 0.0f;
        for (int step = 0; step < 2; step++) {
            const float down = (height_at(g, o, px, py) - a.h) * e[0];
            px -= (down - before) * a.c;
            py -= (down - before) * a.s;
            before = down;
        }
        m.x -= before;
        m.z = before;
    }
    if (e[9] > 0.0f) {
        const Node n = locate(level, p->middle[a.which], px, py);
        const float* run = p->run + 8 * a.which;
        if (!CLOSELY) {
            m.x += between(g->fixed[4l * g->nodes + n.at], n.ax, n.ay) * (run[0] / FULL_SCALE);
        } else {
            for (int k = 0; k < 4; k++)
                if (run[2 * k] != 0.0f)
                    m.x += between(g->fixed[(long)k * g->nodes + n.at], n.ax, n.ay) * (run[2 * k] / FULL_SCALE);
        }
    }
    return m;
}

// Means of U - 1 and, with FLAGGED, of the chance of stroke and distance over the moved pattern.
template <bool FLAGGED>
__device__ __forceinline__ float2 mean_of(
    const Course* g, const Points& points, const Level* level, const Ask& a, float mx, float my) {
    const u64 *u = g->u, *flag = g->fixed + 5l * g->nodes;
    const int n = points.count[a.which];
    const float4* at = points.point + (long)a.which * points.most;
    float eu = 0.0f, eo = 0.0f;
#pragma unroll 4
    for (int k = 0; k < n; k++) {
        const float4 t = __ldg(at + k);
        const float dd = t.x + mx, qq = t.y + my;
        const Node z = locate(level, __float_as_int(t.w), a.x + dd * a.c - qq * a.s, a.y + dd * a.s + qq * a.c);
        eu += t.z * between(u[z.at], z.ax, z.ay);
        if (FLAGGED) eo += t.z * between(flag[z.at], z.ax, z.ay);
    }
    return make_float2(eu * (TOP / FULL_SCALE), eo * (1.0f / FULL_SCALE));
}

// Strokes from a spot when the shot is played again after stroke and distance; eu is E[U] - 1.
__device__ __forceinline__ float strokes_of(float eu, float eo) {
    return (2.0f + eu) / (1.0f - fminf(eo, HOPELESS));
}
