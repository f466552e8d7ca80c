// The furrows of bark, as view/round_look.cpp shows them, with noise of the same kind from 32-bit numbers.

// 0 to 1 from whole numbers: MurmurHash3's finaliser (Appleby 2011, from memory).
float cell_noise(ivec3 cell, uint salt) {
    uint bits = uint(cell.x) * 0x9e3779b1u ^ uint(cell.y) * 0x85ebca77u ^ uint(cell.z) * 0xc2b2ae3du ^ salt * 0x27d4eb2fu;
    bits = (bits ^ (bits >> 16)) * 0x85ebca6bu;
    bits = (bits ^ (bits >> 13)) * 0xc2b2ae35u;
    return float((bits ^ (bits >> 16)) >> 8) / 16777216.0;
}

float solid_noise(vec3 at, uint salt) {
    ivec3 low = ivec3(floor(at));
    vec3 part = at - floor(at);
    vec3 eased = part * part * (3.0 - 2.0 * part);
    float sum = 0.0;
    for (int corner = 0; corner < 8; ++corner) {
        ivec3 side = ivec3(corner & 1, corner >> 1 & 1, corner >> 2);
        vec3 weight = mix(1.0 - eased, eased, vec3(side));
        sum += weight.x * weight.y * weight.z * cell_noise(low + side, salt);
    }
    return 2.0 * sum - 1.0;
}

// What bark sends back, 1 in the mean; `at` in metres.
float bark_level(vec3 at) {
    vec3 slow = at / vec3(0.16, 0.16, 0.3);
    vec3 bent = at + 0.03 * vec3(solid_noise(slow, 3u), solid_noise(slow, 4u), 0.0);
    float furrow = max(0.0, 1.0 - 3.2 * abs(solid_noise(bent / vec3(0.06, 0.06, 0.42), 0u)));
    float cleft = max(0.0, 1.0 - 4.5 * abs(solid_noise(bent / vec3(0.03, 0.03, 0.11), 2u)));
    float grain = solid_noise(at / vec3(0.012, 0.012, 0.05), 1u);
    return 1.0 + 0.7 * (0.391 - min(1.0, 0.75 * furrow + 0.3 * cleft + 0.1 * (1.0 + grain)));
}

// Furrows that are too fine for a pixel of `width` metres are left out.
float bark_shown(vec3 at, float width) {
    float shown = clamp(1.6 - width / 0.03, 0.0, 1.0);
    return shown > 0.0 ? mix(1.0, bark_level(at), shown) : 1.0;
}
